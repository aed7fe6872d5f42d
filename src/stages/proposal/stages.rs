//! Every stage, in order: the one list that all else follows from. What is run, shown, cited, warned of and checked, the
//! reports and their parts of a proposal, the paths of the service and what its demo tells come from here.
//!
//! A stage is its folder, with [`Stage`](crate::design::stage::Stage) for its result, and its entry here:
//!
//! - `from`: the results that it is computed from. They can only be those of entries above it.
//! - `notes`: an answer holds the assumptions of its own kind and of those before it.
//! - `told`: the question that its warnings, cautions, sources and workings belong to.
//! - `answers`: where it answers a question itself: the report, its row, the path with its texts in the contract, and the
//!   figures that are told of it first. A stage without is answered with another one.

/// Hands the list to a macro.
#[macro_export]
macro_rules! each_stage {
    ($then:ident) => {
        $then! {
            stage heat_loss: HeatLoss {
                from |_run| ();
                notes HeatLoss;
                told HeatLoss;
                answers heat_loss: HeatLoss {
                    /// Answer to a question for heat loss.
                    report HeatLossReport;
                    /// Design heat loss of every room and of the dwelling.
                    row HeatLossAnswer = |run| {
                        let loss = run.heat_loss()?;
                        loss.answer(run.survey(), uncertainty(run.asked(), loss)?)
                    };
                    /// Heat loss of every room and of the dwelling
                    ///
                    /// Design heat loss by EN 12831, steady state: transmission, thermal bridges and ventilation, with signed flows
                    /// between rooms that cancel in the dwelling's total.
                    at "/heat-loss" for Design says "The heat loss";
                    figures [As("/dwelling/design_heat_loss_w", "W"), As("/outside_design_c", "°C outside")];
                }
            }
            stage emitters: Emitters {
                from |run| run.heat_loss()?;
                notes Emitters;
                told Emitters;
                answers emitters: Emitters {
                    /// Answer to a question for emitters.
                    report EmittersReport;
                    /// Emitters of every room.
                    row EmittersAnswer = |run| run.emitters()?.answer(run.survey());
                    /// Emitters of every room
                    ///
                    /// Radiators by EN 442, the cheapest or smallest that fits and carries its room; fan convectors by their data; heated
                    /// floors by EN 1264, ISO 11855-2 or their test, and by conduction, the widest spacing within the limits. All on one flow
                    /// temperature, each with its own return.
                    at "/emitters" for Design says "The emitters";
                    figures [As("/flow_temperature_c", "°C flow")];
                }
            }
            stage source: Source {
                from |run| (run.heat_loss()?, run.emitters()?);
                notes Plant;
                told Plant;
            }
            stage pipework: Pipework {
                from |run| (run.emitters()?, run.source()?);
                notes Plant;
                told Pipework;
            }
            stage hydraulics: Hydraulics {
                from |run| (run.emitters()?, run.source()?, run.pipework()?);
                notes Plant;
                told Pipework;
                answers pipework: Pipework {
                    /// Answer to a question for pipework.
                    report PipeworkReport;
                    /// The two-pipe tree, sized.
                    row PipeworkAnswer = |run| run.hydraulics()?.answer(run.survey(), run.emitters()?, run.pipework()?);
                    /// Two-pipe tree: flows, tube sizes, pressures, pump duty
                    ///
                    /// Flows from loads and drops, tubes by gradient and velocity, Darcy-Weisbach with Colebrook-White, the index
                    /// circuit and what the pump must do.
                    at "/pipework" for Design says "The pipework";
                    figures [As("/pump/flow_l_h", "l/h"), As("/pump/head_kpa", "kPa")];
                }
            }
            stage plant: Plant {
                from |run| (run.emitters()?, run.source()?, run.pipework()?);
                notes Plant;
                told Plant;
                answers plant: Plant {
                    /// Answer to a question for the plant.
                    report PlantReport;
                    /// Heat source, cylinder, water content and expansion vessel.
                    row PlantAnswer = |run| run.plant()?.answer(run.survey(), run.source()?);
                    /// Heat source, cylinder, water content, expansion vessel
                    ///
                    /// The heat source by the day's balance of space loss and hot water at the design outside temperature.
                    at "/plant" for Design says "The plant";
                    figures [As("/heat_source/description", ""), As("/cylinder/volume_l", "l cylinder")];
                }
            }
            stage bill: Bill {
                from |run| run.design()?;
                notes Estimate;
                told Bill;
                answers bill: Bill {
                    /// Answer to a question for the bill.
                    report BillReport;
                    /// Materials and labour.
                    row BillAnswer = |run| run.bill()?.answer(run.survey(), run.is_design_met()?);
                    /// Bill of materials and labour
                    ///
                    /// Quantities from the design, each with where it comes from; labour hours from task norms; cost and cost with
                    /// mark-up. Needs `commercial.quote_date`.
                    at "/bill" for Money says "The bill";
                    figures [Money("/totals/net", "net"), As("/totals/labour_h", "hours")];
                }
            }
            stage programme: ProgrammeAnswer {
                from |run| run.bill()?;
                notes Estimate;
                told Programme;
                answers programme: Programme {
                    /// Answer to a question for the programme.
                    report ProgrammeReport;
                    /// Visits in their order.
                    row ProgrammeAnswer = |run| run.programme()?.clone();
                    /// Visits in their order
                    ///
                    /// Tasks, hours, days, what must be there before each visit and what it leaves behind, earliest dates. Needs
                    /// `commercial.quote_date`.
                    at "/programme" for Money says "The programme";
                    figures [As("/days", "working days")];
                }
            }
            stage price: Price {
                from |run| (run.design()?, run.bill()?, run.programme()?);
                notes Estimate;
                told Price;
                answers price: Price {
                    /// Answer to a question for the price.
                    report PriceReport;
                    /// Net, tax, gross, grant and what is left to pay.
                    row PriceAnswer = |run| run.price()?.answer(run.survey(), run.is_all_met()?);
                    /// Net, tax, gross, grant and what is left to pay
                    ///
                    /// Tax by supply at the rate of each tax point, the grant off the gross. Needs `commercial.quote_date`.
                    at "/price" for Money says "The price";
                    figures [Money("/gross", "gross"), Money("/payable", "payable")];
                }
            }
        }
    };
}
