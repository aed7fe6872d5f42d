//! One zone of a floor, at what it can give and at its duty.

use super::Look;
use super::characteristic::{Beyond, Characteristic, Conduct, Way, pipe};
use super::loops::{bore, lines, loop_drop};
use super::performance::Run;
use crate::job::heated_floors::DropRule;
use crate::methods::floor_circuit::{Circuit, Law, Line, Rule, State};
use crate::methods::floor_conduction;
use crate::methods::floor_loops::{self, Loops};
use crate::methods::water::Liquid;
use crate::methods::{MethodError, Off, Workings, carried_heat, en_1264_2, film, friction, last_steps, part_load};
use crate::survey::FlowRule;

/// How a zone is to be laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    /// Whether it is the edge zone.
    pub edge: bool,
    /// Area (m²).
    pub area_m2: f64,
    /// Spacing, covering and surface limit.
    pub way: Way,
    /// Its loops.
    pub loops: Loops,
}

/// A zone as it runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    /// How it is laid.
    pub plan: Plan,
    /// Its loops.
    pub loops: Loops,
    /// What it can give at the nominal drop, and no more than its limits allow (W/m²).
    pub capacity_w_m2: f64,
    /// Greatest output by its limits (W/m²).
    pub limit_w_m2: f64,
    /// What it is worth as it is laid.
    pub(super) characteristic: Characteristic,
    /// What it is driven by.
    pub(super) drive: Drive,
    /// What was known of it before.
    pub(super) known: Earlier,
    /// How it runs.
    pub state: State,
    /// The water of its loops, at its own mean temperature.
    pub water: Liquid,
    /// Mean surface temperature by the standard (°C).
    pub surface_c: f64,
    /// Slope KH of its standard or test (W/(m²K)), and what that says of the same water (W/m²); nothing where its tables end.
    pub by_standard: Option<(f64, f64)>,
    /// Where the tables of its standard end, for one that goes by conduction alone.
    pub beyond: Option<Beyond>,
    /// What conduction says of the same water.
    pub by_conduction: Option<ByConduction>,
    /// Whether its output is that of conduction.
    pub goes_by_conduction: bool,
    /// Pressure drop of one loop with its valves (Pa).
    pub loop_pa: f64,
    /// Its lines through other rooms.
    lines: Vec<Line>,
}

/// What is known of a zone before it is told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Earlier {
    /// Nothing.
    Nothing,
    /// How it runs at the nominal drop, whatever its limits.
    Free(State),
    /// How it runs at its load as well.
    Run(Run),
}

impl Earlier {
    /// What of it is known whatever drives it.
    pub(super) fn free(&self) -> Self {
        match self {
            Self::Run(Run { free, .. }) => Self::Free(*free),
            Self::Nothing | Self::Free(_) => *self,
        }
    }
}

/// What a zone is driven by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Drive {
    /// A part of what it can give (0–1).
    Part(f64),
    /// A flow of all its loops (kg/s), and an output that it gives at less already (W/m²).
    Flow(f64, f64),
}

/// What conduction says of a zone at its duty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ByConduction {
    /// Output (W/m²).
    pub output_w_m2: f64,
    /// Heat downward (W/m²).
    pub downward_w_m2: f64,
    /// Mean surface temperature (°C).
    pub surface_c: f64,
    /// Highest surface temperature (°C).
    pub surface_highest_c: f64,
    /// Film of water in the tube (W/(m²K)).
    pub film_w_m2k: f64,
    /// How far the grid may be off, relative.
    pub grid_error: f64,
}

/// Whether an output is beyond a limit, but for the last digits (W/m²).
pub(super) fn is_beyond(output_w_m2: f64, limit_w_m2: f64) -> bool {
    output_w_m2 > limit_w_m2 * (1.0 + 1e-9)
}

impl Zone {
    /// What the line through one of the passed rooms gives to it, supply and return (W).
    pub(super) fn lines_up_w(&self, index: usize) -> f64 {
        let State { mass_flow_kg_s, flow_c, field_return_c, .. } = self.state;
        match self.lines.get(index) {
            Some(line) if mass_flow_kg_s > 0.0 => {
                line.gives(flow_c, &mut Off).0 + line.gives(field_return_c, &mut Off).0
            }
            Some(_) | None => 0.0,
        }
    }
}

impl Look<'_> {
    pub(super) fn plan(&self, edge: bool, area_m2: f64, way: Way, least: u32) -> Result<Plan, MethodError> {
        let laying = &self.floor.laying;
        let loops = floor_loops::divide(area_m2, way.spacing_m, laying.tail_m, laying.loop_max_m, least, &mut Off)?;
        Ok(Plan { edge, area_m2, way, loops })
    }

    pub(super) fn characteristic<W: Workings>(&self, way: Way, w: &mut W) -> Result<Characteristic, MethodError> {
        let is_kept = !w.listens();
        if let Some(known) = is_kept.then(|| self.known_characteristic(way)).flatten() {
            return Ok(known);
        }
        let found = Characteristic::compute(self.floor, self.site, way, (self.conduct, self.common.budget), w)?;
        if is_kept {
            self.keep_characteristic(way, found);
        }
        Ok(found)
    }

    /// How a zone runs at a flow temperature and the nominal drop, whatever its limits.
    pub(super) fn free(&self, plan: &Plan, characteristic: &Characteristic, flow_c: f64) -> Result<State, MethodError> {
        let lines = lines(self.common, self.floor, self.site, characteristic, (plan.way, f64::from(plan.loops.count)))?;
        let laws = characteristic.laws(self.floor, self.site);
        self.circuit(plan, flow_c, &laws, &lines)?.capacity(self.common.survey.heating.drop_k, &mut Off)
    }

    /// How a zone runs that gives so much (W/m²), beside how it runs at the nominal drop.
    pub(super) fn run(
        &self,
        plan: &Plan,
        characteristic: &Characteristic,
        flow_c: f64,
        (free, output_w_m2): (State, f64),
    ) -> Result<Run, MethodError> {
        let loops = f64::from(plan.loops.count);
        let lines = lines(self.common, self.floor, self.site, characteristic, (plan.way, loops))?;
        let laws = characteristic.laws(self.floor, self.site);
        let circuit = self.circuit(plan, flow_c, &laws, &lines)?;
        let state = circuit.duty(output_w_m2, &mut Off)?;
        let set_kg_s = self.flow_beside(&circuit, plan, &state, characteristic.limit_w_m2)?;
        let each_kg_s = floor_loops::flow_of_each(set_kg_s, loops, &mut Off);
        let water = self.water_between(flow_c, state.return_c)?;
        let loop_flow = (plan.loops.length_m, each_kg_s);
        let drop_pa = loop_drop(self.common.survey, self.floor, loop_flow, &water, &mut Off)?;
        Ok(Run { free, at_load: state, set_kg_s, drop_pa })
    }

    /// The water of a loop, at the mean of its flow and its return.
    fn water_between(&self, flow_c: f64, return_c: f64) -> Result<Liquid, MethodError> {
        let mean_c = carried_heat::mean_temperature(flow_c, flow_c - return_c, &mut Off);
        self.common.survey.heating.fluid.at(mean_c)
    }

    /// Shows how a zone runs.
    pub(super) fn show<W: Workings>(&self, zone: &Zone, w: &mut W) -> Result<(), MethodError> {
        let laws = zone.characteristic.laws(self.floor, self.site);
        self.circuit(&zone.plan, self.common.flow_c, &laws, &zone.lines)?.duty(zone.state.output_w_m2, w)?;
        Ok(())
    }

    /// Flow that a zone is set to (kg/s), from how it runs at its load; never less than that.
    pub(super) fn set_flow(&self, at_load: &Zone) -> Result<f64, MethodError> {
        let State { mass_flow_kg_s, .. } = at_load.state;
        if self.common.survey.heating.flow_rule == FlowRule::ByLoad {
            return Ok(mass_flow_kg_s);
        }
        if let Earlier::Run(Run { set_kg_s, .. }) = at_load.known {
            return Ok(set_kg_s);
        }
        let Zone { plan, characteristic, lines, .. } = at_load;
        let laws = characteristic.laws(self.floor, self.site);
        let circuit = self.circuit(plan, self.common.flow_c, &laws, lines)?;
        self.flow_beside(&circuit, plan, &at_load.state, characteristic.limit_w_m2)
    }

    /// Flow that a zone is set to by the nominal drop (kg/s), beside how it runs at its load: with a room thermostat that
    /// which carries its heat at that drop, as far as its limit bears it (W/m²).
    fn flow_beside(
        &self,
        circuit: &Circuit<'_>,
        plan: &Plan,
        at_load: &State,
        limit_w_m2: f64,
    ) -> Result<f64, MethodError> {
        let State { mass_flow_kg_s: at_load_kg_s, return_c, output_w_m2, .. } = *at_load;
        if at_load_kg_s <= 0.0 {
            return Ok(at_load_kg_s);
        }
        let least_kg_s = at_load_kg_s.max(self.common.least_of_loops(plan.loops.count));
        if !self.floor.has_thermostat {
            return Ok(least_kg_s);
        }
        let heat_w =
            carried_heat::heat(at_load_kg_s, circuit.water.specific_heat_j_kgk, circuit.flow_c - return_c, &mut Off);
        let nominal_kg_s = self.common.nominal_flow(heat_w, &mut Off);
        if nominal_kg_s <= least_kg_s {
            return Ok(least_kg_s);
        }
        let is_borne = circuit.at_flow((nominal_kg_s, output_w_m2), &mut Off)?.output_w_m2 <= limit_w_m2;
        let most_kg_s = if is_borne { nominal_kg_s } else { circuit.duty(limit_w_m2, &mut Off)?.mass_flow_kg_s };
        Ok(least_kg_s.max(most_kg_s))
    }

    pub(super) fn circuit<'c>(
        &'c self,
        plan: &Plan,
        flow_c: f64,
        laws: &'c [Law<'c>],
        lines: &'c [Line],
    ) -> Result<Circuit<'c>, MethodError> {
        let (water, conductivity_w_mk) = self.common.water_at(flow_c)?;
        Ok(Circuit {
            flow_c,
            room_c: self.site.room_c,
            area_m2: plan.area_m2,
            loops: f64::from(plan.loops.count),
            laws,
            lines,
            water,
            conductivity_w_mk,
            bore: bore(&self.floor.tube),
            rule: match self.floor.drop_rule {
                DropRule::Logarithm => Rule::Logarithm,
                DropRule::Approximation => Rule::Approximation,
            },
        })
    }

    /// A zone as it is driven.
    pub(super) fn zone<W: Workings>(
        &self,
        (plan, characteristic): (Plan, Characteristic),
        drive: Drive,
        known: &Earlier,
        w: &mut W,
    ) -> Result<Zone, MethodError> {
        let Self { common, floor, site, .. } = *self;
        let laying = &floor.laying;
        let loops = floor_loops::divide(
            plan.area_m2,
            plan.way.spacing_m,
            laying.tail_m,
            laying.loop_max_m,
            plan.loops.count,
            &mut w.within(if floor.edge.is_some() { "loop_length_m" } else { "loops/0/length_m" }),
        )?;
        let lines = lines(common, floor, site, &characteristic, (plan.way, f64::from(loops.count)))?;
        let laws = characteristic.laws(floor, site);
        let circuit = self.circuit(&plan, common.flow_c, &laws, &lines)?;
        let capacity_w_m2 = {
            let mut w = w.within("capacity_w");
            let free = match known {
                Earlier::Nothing => circuit.capacity(common.survey.heating.drop_k, &mut w)?,
                Earlier::Run(Run { free, .. }) | Earlier::Free(free) => {
                    circuit.capacity_again(free, &mut w)?;
                    *free
                }
            };
            last_steps::within_limit(free.output_w_m2, characteristic.limit_w_m2, &mut w)
        };
        last_steps::over_area(plan.area_m2, capacity_w_m2, &mut w.within("capacity_w"));
        let state = match (drive, known) {
            (Drive::Part(_), Earlier::Run(Run { at_load, .. })) => {
                circuit.duty_again(at_load, w)?;
                *at_load
            }
            (Drive::Part(part), Earlier::Nothing | Earlier::Free(_)) => {
                circuit.duty(part_load::part_of(part, capacity_w_m2, &mut Off), w)?
            }
            (Drive::Flow(flow_kg_s, no_less_w_m2), _) => circuit.at_flow((flow_kg_s, no_less_w_m2), w)?,
        };
        let output_w_m2 = state.output_w_m2;
        if state.excess_k > 0.0 {
            laws[state.law].output(state.excess_k, site.room_c, state.film_w_m2k, &mut w.within("output_w_m2"));
        }
        last_steps::over_area(plan.area_m2, state.downward_w_m2, &mut w.within("downward_w"));
        if floor.edge.is_some() {
            // of a floor that is one zone the emitter's own flow is told
            friction::volume_flow(state.mass_flow_kg_s, common.water.density_kg_m3, &mut w.within("flow_l_h"));
        }
        let water = self.water_between(common.flow_c, state.return_c)?;
        let surface_k = if output_w_m2 > 0.0 {
            en_1264_2::surface_excess(output_w_m2, &mut w.within("floor_surface_c"))
        } else {
            0.0
        };
        let surface_c = last_steps::warmer_by(site.room_c, surface_k, &mut w.within("floor_surface_c"));
        let each_kg_s = floor_loops::flow_of_each(state.mass_flow_kg_s, f64::from(loops.count), &mut Off);
        let loop_pa = loop_drop(common.survey, floor, (loops.length_m, each_kg_s), &water, &mut w.unshown())?;
        let by_standard = match (floor.edge.is_some(), plan.edge) {
            (true, _) => "by_standard/output_w_m2",
            (false, true) => "floor/edge_zone/by_standard/output_w_m2",
            (false, false) => "floor/occupied_zone/by_standard/output_w_m2",
        };
        let by_standard = characteristic.beyond.is_none().then(|| {
            let kh_w_m2k = characteristic.kh_w_m2k;
            (kh_w_m2k, en_1264_2::output(kh_w_m2k, state.excess_k, &mut w.within(by_standard)))
        });
        let goes_by_conduction = laws.get(state.law).is_some_and(Law::has_film);
        Ok(Zone {
            plan,
            loops,
            capacity_w_m2,
            limit_w_m2: characteristic.limit_w_m2,
            surface_c,
            by_standard,
            beyond: characteristic.beyond,
            by_conduction: None,
            goes_by_conduction,
            loop_pa,
            characteristic,
            drive,
            known: *known,
            state,
            water,
            lines,
        })
    }

    /// The zone with what conduction says of it, whatever it was designed on.
    pub(super) fn with_conduction<W: Workings>(&self, zone: Zone, w: &mut W) -> Result<Zone, MethodError> {
        let each_kg_s = floor_loops::flow_of_each(zone.state.mass_flow_kg_s, f64::from(zone.loops.count), &mut Off);
        let by_conduction = self.by_conduction(zone.plan.way, &zone.state, each_kg_s, w)?;
        Ok(Zone { by_conduction, ..zone })
    }

    fn by_conduction<W: Workings>(
        &self,
        way: Way,
        state: &State,
        each_kg_s: f64,
        w: &mut W,
    ) -> Result<Option<ByConduction>, MethodError> {
        let Self { common, floor, site, conduct, .. } = *self;
        let conduct = conduct.max(Conduct::Beside);
        let Some(solution) = Characteristic::compute(floor, site, way, (conduct, common.budget), w)?.solution else {
            return Ok(None);
        };
        if state.mass_flow_kg_s <= 0.0 {
            return Ok(None);
        }
        let film_w_m2k = film::in_tube(bore(&floor.tube), &common.water, common.conductivity_w_mk, each_kg_s, w)?;
        let [.., conductivity] = common.survey.heating.fluid.sources();
        w.cite(conductivity);
        let response = solution.response.behind_pipe(pipe(&floor.tube).resistance_m2k_w(film_w_m2k));
        let water_c = site.room_c + state.excess_k;
        let floor_conduction::State { up_w_m2, down_w_m2, surface_c, surface_highest_c, .. } =
            response.at(water_c, site.room_c, site.below_c);
        Ok(Some(ByConduction {
            output_w_m2: up_w_m2,
            downward_w_m2: down_w_m2,
            surface_c,
            surface_highest_c,
            film_w_m2k,
            grid_error: solution.grid_error,
        }))
    }
}
