//! Every formula that the methods record, evaluated again from its own text by another program.
//!
//! What an answer shows as a working is the text of the program's own expression. Here that text and the values
//! recorded with it go to an evaluator that knows nothing of the methods, and must give the recorded result. The
//! sources are read as well, so that a formula that no call below reaches fails the test.

use super::methods_workings_floors::{circuits, floors, surfaces};
use evalexpr::{
    ContextWithMutableFunctions, ContextWithMutableVariables, Function, HashMapContext as Context, Value,
    eval_number_with_context,
};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use tundish::methods::en_442::Mean;
use tundish::methods::en_12828::{self, Pressures};
use tundish::methods::fan_convector::{FanConvector, Outputs};
use tundish::methods::friction::{self, Bore};
use tundish::methods::iso_6946::{FixingSection, LayerPath, Outline};
use tundish::methods::iso_13370::{Basement, Edge, Slab, Suspended};
use tundish::methods::iso_13789::Exchange;
use tundish::methods::network_flow::{Drive, End, Network, Part, Pump, Tube, drop_of};
use tundish::methods::performance_map::{GridPoint, PerformanceMap, pump_head};
use tundish::methods::radiator_flow::{Radiator, Water};
use tundish::methods::warmed_room::Losing;
use tundish::methods::water::{conductivity, water};
use tundish::methods::{
    Book, Budget, MethodError, Off, Step, bypass, carried_heat, climate, defrost, en_442, en_1264_2, en_12831, film,
    fittings, floor_loops, glycol, hidden_tube, hot_water, iso_6946, iso_10077, iso_13370, iso_13789, joists,
    last_steps, old_tube, open_door, part_load, pipe_loss, pump_laws, routes, storey, sums, tube, warmed_room,
};

/// A formula read again may round otherwise in its last bits, and no more.
const TOLERANCE: f64 = 1e-12;

fn function_of_one(context: &mut Context, name: &str, f: fn(f64) -> f64) {
    let function = Function::new(move |argument| Ok(Value::Float(f(argument.as_number()?))));
    context.set_function(name.to_owned(), function).unwrap();
}

fn function_of_two(context: &mut Context, name: &str, f: fn(f64, f64) -> f64) {
    let function = Function::new(move |argument| {
        let pair = argument.as_fixed_len_tuple(2)?;
        Ok(Value::Float(f(pair[0].as_number()?, pair[1].as_number()?)))
    });
    context.set_function(name.to_owned(), function).unwrap();
}

/// What the text of a step gives with the values of the step, by the standard library's functions.
#[expect(clippy::disallowed_methods, reason = "the check must not share the functions of what it checks")]
fn evaluated(step: &Step) -> f64 {
    let mut context = Context::new();
    function_of_one(&mut context, "ln", f64::ln);
    function_of_one(&mut context, "log10", f64::log10);
    function_of_one(&mut context, "exp", f64::exp);
    function_of_one(&mut context, "sqrt", f64::sqrt);
    function_of_two(&mut context, "pow", f64::powf);
    function_of_two(&mut context, "min", f64::min);
    function_of_two(&mut context, "max", f64::max);
    for &(name, value) in &step.values {
        context.set_value(name.to_owned(), Value::Float(value)).unwrap();
    }
    eval_number_with_context(step.formula, &context).unwrap_or_else(|error| panic!("{}: {error}", step.formula))
}

/// Layers, windows, the ground, unheated spaces.
fn fabric(w: &mut Book<'_>) -> Result<(), MethodError> {
    let layers = [
        LayerPath { resistance_m2k_w: 0.18, bridge: None },
        LayerPath { resistance_m2k_w: 3.5, bridge: Some((0.15, 1.167)) },
        LayerPath { resistance_m2k_w: 0.5, bridge: Some((0.1, 0.2)) },
    ];
    let total_m2k_w = iso_6946::combined(0.13, &layers, 0.04, w)?;
    iso_6946::combined(0.13, &layers[..1], 0.04, w)?;
    iso_6946::slightly_ventilated(800.0, total_m2k_w, 1.2, w);
    let u_value_w_m2k = iso_6946::transmittance(total_m2k_w, w);
    let gaps = iso_6946::air_gaps(0.04, 3.5, total_m2k_w, w);
    let section = FixingSection { count_per_m2: 6.0, conductivity_w_mk: 50.0, section_m2: 1.2e-5, insulation_m: 0.14 };
    let fixings = iso_6946::fixings_by_section(section, 3.5, total_m2k_w, w);
    iso_6946::corrected(u_value_w_m2k, gaps, fixings, w);
    iso_6946::fixings_by_point(6.0, 0.002, w);
    for outline in [Outline::Rectangle, Outline::ThickestAtApex, Outline::ThinnestAtApex] {
        iso_6946::tapered(outline, 11.2, 5.5, w)?;
    }
    let measures = iso_10077::by_size(1.2, 1.4, iso_10077::frame_width(1.2, 1.4, 0.28, w)?, w)?;
    iso_10077::window(measures, 0.7, 1.3, 0.05, w)?;
    let slab = Slab { area_m2: 52.0, perimeter_m: 23.0, wall_thickness_m: 0.3, ground_w_mk: 2.0, floor_m2k_w: 0.8 };
    let edge = Edge { is_horizontal: false, reach_m: 0.6, thickness_m: 0.08, conductivity_w_mk: 0.034 };
    iso_13370::slab_with_edge(slab, edge, w)?;
    iso_13370::slab_swing(slab, 2e6, w)?;
    iso_13370::suspended_floor(
        Suspended {
            area_m2: 52.0,
            perimeter_m: 23.0,
            wall_thickness_m: 0.3,
            ground_w_mk: 1.5,
            floor_m2k_w: 1.2,
            height_m: 0.4,
            space_wall_w_m2k: 1.7,
            vents_m2_m: 0.0015,
            wind_m_s: 4.0,
            wind_shielding: 0.05,
        },
        w,
    )?;
    iso_13370::basement(
        Basement {
            area_m2: 52.0,
            perimeter_m: 30.0,
            depth_m: 2.1,
            wall_thickness_m: 0.3,
            ground_w_mk: 1.5,
            floor_m2k_w: 1.2,
            wall_m2k_w: 1.9,
        },
        w,
    )?;
    let exchange = Exchange { rooms_w_k: 4.2, rooms_w: 88.2, outside_w_k: 106.95, others_w_k: 3.0, others_w: 27.0 };
    iso_13789::unheated_temperature(exchange, -3.0, w)?;
    iso_13789::by_air(0.34, 1.5, 45.0, w);
    iso_13789::conductance(12.0, 0.35, w);
    iso_6946::without_surfaces(0.24, 0.21, w);
    let n50 = en_12831::air_changes_at_50_pa(6.0, 230.0, 310.0, w);
    let leaked = en_12831::infiltration(55.0, n50, 0.03, 1.2, w);
    en_12831::natural_air_flow(leaked, 27.5, w);
    en_12831::transmission_in_all(400.0, 30.0, w);
    en_12831::coefficient(430.0, 24.0, w);
    en_12831::ground_conductance(7.3, true, en_12831::GROUND_WATER_DEEP, w);
    en_12831::share_unheated(20.3, 15.1, w);
    en_12831::overflow_share(55.0, 81.0, w);
    en_12831::middle_height(0.3, 5.4, 2.45, w);
    en_12831::design_heat_loss(430.0, 160.0, 12.0, 110.0, w);
    en_12831::ventilation_of_rooms(1234.0, w);
    en_12831::simultaneous_ventilation(1234.0, 500.0, 60.0, w);
    en_12831::reheat(17.0, en_12831::reheat_factor(2, 3)?, w);
    en_12831::height_addition(900.0, 400.0, en_12831::height_factor(6.0, 0.5), w);
    Ok(())
}

/// Loads and heat losses.
fn losses(w: &mut Book<'_>) -> Result<(), MethodError> {
    en_12831::transmission(12.5, 0.28, 24.0, w);
    en_12831::bridging_by_allowance(12.5, 0.05, 24.0, w);
    en_12831::bridging_by_coefficient(3.2, 21.0, -3.0, w);
    en_12831::ground_difference(21.0, 10.0, en_12831::GROUND_WATER_DEEP, w);
    en_12831::unheated_difference(0.4, 21.0, -3.0, w);
    en_12831::difference(18.0, 21.0, w);
    en_12831::adjoining_by_mean(21.0, 10.0, w);
    en_12831::junction(7.4, 0.05, w);
    en_12831::share_of_bridges(12.0, 25.0, 100.0, w);
    en_12831::volume(33.6, 2.4, w);
    en_12831::air_flow(1.1, 37.6, w);
    en_12831::ventilation(en_12831::AIR_HEAT_WH_M3K, 41.4, 18.0, -3.0, w);
    en_12831::supply_temperature(0.85, [100.0, 150.0], 22.67, -18.0, w);
    climate::outside_design(-3.0, 62.0, 210.0, w);
    iso_6946::layer_resistance(0.1, 0.022, w)?;
    let slab = Slab { area_m2: 44.8, perimeter_m: 21.6, wall_thickness_m: 0.3, ground_w_mk: 1.5, floor_m2k_w: 4.5 };
    iso_13370::slab_on_ground(slab, w)?;
    iso_13370::slab_on_ground(Slab { floor_m2k_w: 0.1, ..slab }, w)?;
    Ok(())
}

/// Radiators.
fn radiators(w: &mut Book<'_>) -> Result<(), MethodError> {
    en_442::logarithmic_excess(38.0, 33.0, 18.0, w)?;
    en_442::logarithmic_excess(38.0, 38.0 - 1e-9, 18.0, w)?;
    en_442::output(
        Mean::Logarithmic,
        en_442::installed(2085.0, en_442::factor(0.96, 0.85, 0.9, w), w),
        1.33,
        17.3803,
        w,
    );
    for mean in [Mean::Logarithmic, Mean::Arithmetic] {
        let excess_k = en_442::excess_for(mean, 499.306, 2085.0, 1.33, w);
        en_442::return_temperature(mean, 38.0, 18.0, excess_k, w)?;
    }
    en_442::arithmetic_excess(38.0, 33.0, 18.0, w)?;
    let little = [(Mean::Logarithmic, 1e-4), (Mean::Arithmetic, 1e-4)];
    for (mean, flow_kg_s) in [(Mean::Logarithmic, 0.02), (Mean::Arithmetic, 0.02)].into_iter().chain(little) {
        let radiator = Radiator { mean, installed_w: 2085.0, exponent: 1.33 };
        let water = Water { flow_c: 38.0, specific_heat_j_kgk: 4178.626, mass_flow_kg_s: flow_kg_s };
        radiator.at_flow(water, 18.0, w)?;
        let room = Losing { room_c: 18.0, outside_c: -3.0, loss_w: 100.0 };
        room.warmed(38.0, |warm_c| Ok(radiator.at_flow(water, warm_c, &mut Off)?.output_w), w)?;
    }
    en_442::mass_flow(499.306, 4178.626, 5.66, w);
    en_442::excess_ratio(38.0, 32.34, 18.0, w);
    let outputs = [(20.0, [300.0, 440.0]), (30.0, [700.0, 970.0])]
        .map(|(difference_k, outputs_w)| Outputs { difference_k, outputs_w: outputs_w.to_vec() });
    let unit = FanConvector::new(outputs.to_vec(), vec![15.0, 19.0])?;
    for demand_w in [300.0, 600.0, 2000.0] {
        unit.run(25.0, demand_w, w)?;
    }
    Ok(())
}

/// Pipes: laminar, blended, turbulent; fittings and valves.
fn pipes(w: &mut Book<'_>) -> Result<(), MethodError> {
    let water = water(35.5)?;
    let bore = Bore { inside_diameter_mm: 13.6, roughness_mm: 0.0015 };
    for reynolds in [900.0, 2800.0, 7300.0] {
        let velocity_m_s = reynolds * water.kinematic_viscosity_m2_s() / 0.0136;
        friction::in_tube(bore, &water, friction::mass_flow_at(bore, &water, velocity_m_s), w)?;
    }
    for mass_flow_kg_s in [0.012, 0.02, 0.06] {
        film::in_tube(bore, &water, conductivity(35.5)?, mass_flow_kg_s, w)?;
    }
    friction::drop_over(182.959, 6.0, w);
    friction::volume_flow(0.0559, water.density_kg_m3, w);
    fittings::zeta_drop(2.5, water.density_kg_m3, 0.385, w);
    fittings::kv_drop(76.47, 0.5, water.density_kg_m3, w)?;
    fittings::kv_for(76.47, 8343.0, water.density_kg_m3, w)?;
    fittings::kv_of_zeta(2.5, 13.6, w)?;
    fittings::zeta_of_kv(0.5, 13.6, w)?;
    let insulated = pipe_loss::Insulated {
        bore_mm: 20.2,
        outside_diameter_mm: 22.0,
        wall_w_mk: 380.0,
        insulation_mm: 25.0,
        insulation_w_mk: 0.035,
    };
    pipe_loss::insulated(insulated, w)?;
    pipe_loss::bare(22.0, 17.5, w)?;
    joists::allowed(195.0, w)?;
    pump_laws::hydraulic_power(1206.0, 31.5, w);
    pump_laws::power_share(0.65, w);
    pump_laws::power_at(&[(0.0, 20.0), (2000.0, 60.0)], 500.0, 0.5, w)?;
    pump_laws::speed_for(&[(0.0, 60.0), (2000.0, 20.0)], 500.0, 10.0, w)?;
    let tube = Part::Tube(Tube { bore, length_m: 18.0, zeta: 4.0, liquid: water });
    let valve = Part::Valve { kv_m3_h: 0.5, density_kg_m3: water.density_kg_m3 };
    let network = Network { sections: Vec::new(), ends: vec![End { at: None, parts: vec![tube, valve] }] };
    let drive = Drive::Curve { points: &[(0.0, 60.0), (2000.0, 20.0)], speed: 0.8 };
    let pump = Pump { drive, density_kg_m3: water.density_kg_m3 };
    let found = network.solve(&pump, &Budget::unbounded(), w)?;
    drop_of(&network.ends[0].parts, found.ends[0].mass_flow_kg_s, w)?;
    let pair = hidden_tube::Pair {
        bore: 0,
        zeta: 3.0,
        length_m: 18.0,
        length_spread: 0.05,
        least_m: 16.5,
        most_m: 19.6,
        misfit: 0.0,
        is_transition: false,
    };
    hidden_tube::carry(pair, bore, 0.1, &water, w)?;
    defrost::volume(0.58, 10.0, defrost::WATER_KWH_LK, w)?;
    friction::velocity_at(bore, &water, 0.0559, w);
    tube::inside_diameter(0.016, 0.002, w);
    fittings::flow_at_head(76.47, 11_300.0, 10_100.0, w);
    fittings::kv_as_set(0.31, 0.7, w)?;
    fittings::kv_besides(0.31, 0.7, w);
    bypass::water(10.0, 60.0, 330.0, 660.0, w);
    fittings::kv_in_series(3.0, 2.0, w);
    fittings::plant_kv(4.0, 4.0, 1677.0, w);
    fittings::zeta_of_run(6.0, 0.5, 1.5, 2.8, w);
    joists::place(joists::HOLES_AT.1, 3.7, w);
    pipe_loss::of_metre(0.23, 31.5, w);
    pipe_loss::over_length(7.4, 7.245, w);
    pipe_loss::whole_diameter(22.0, 25.0, w);
    pipe_loss::unheated_air(20.0, -3.1, w);
    pump_laws::power_by_efficiency(10.5, 0.25, w);
    let running = pump_laws::Running { efficiency: 0.25, year_h: 4000.0, per_kwh: 0.3, years: 15.0 };
    let life_cost_pa = pump_laws::life_costs(1206.0, running, w);
    pump_laws::cost_of_head(life_cost_pa, 31_500.0, w);
    routes::narrow(routes::of_storey(83.0, 5.0, w).route_m, w);
    routes::to_manifold(83.0, w);
    routes::length_over_width(14.2, 83.0, w);
    storey::height(2.45, 0.3, w);
    routes::length(routes::to_end(4.3, w), 5.2, w);
    old_tube::radiators_carried(13.6, 1.0, 11.0, 1500.0, w);
    Ok(())
}

/// Heat that water carries, and emitters at a part of what they give.
#[expect(clippy::unnecessary_wraps, reason = "one of a list of which others refuse")]
fn carried(w: &mut Book<'_>) -> Result<(), MethodError> {
    carried_heat::heat(0.0559, 4178.626, 5.66, w);
    Radiator::known_at((Mean::Logarithmic, 1.0), 1322.0, 12.0, w);
    carried_heat::mean_temperature(38.0, 5.66, w);
    carried_heat::return_temperature(38.0, 1322.0, 0.0559, 4178.626, w);
    carried_heat::mixed([(0.02, 33.1), (0.03, 31.7)].into_iter(), w);
    defrost::heat_of_litre(1012.5, 3950.0, w);
    glycol::undiluted(87.0, 1036.0, 0.3, 1113.0, w);
    en_1264_2::output(4.9, 12.3, w);
    floor_loops::flow_of_each(0.061, 3.0, w);
    floor_loops::flow_by_area(0.061, 14.2, 18.9, 2.0, w);
    floor_loops::strip(4.3, 0.05, 2.0, w);
    part_load::part_of(part_load::part_taken(733.0, 910.0, w), 910.0, w);
    Ok(())
}

/// The last steps to figures that are told.
#[expect(clippy::unnecessary_wraps, reason = "one of a list of which others refuse")]
fn last_ones(w: &mut Book<'_>) -> Result<(), MethodError> {
    sums::sum([512.5, 77.3], sums::and_w, w);
    sums::sum([3.25, 1.7], sums::and_w_m2, w);
    sums::sum([3.25, 1.7], sums::and_w_k, w);
    sums::sum([0.031, 0.017], sums::and_kg_s, w);
    sums::sum([33.6, 12.4], sums::and_m3_h, w);
    sums::sum([812.3, 1204.0], sums::and_pa, w);
    sums::sum([2.4, 11.3], sums::and_l, w);
    let part_w_m2 = last_steps::of_part(0.3, 7.7, w);
    let heat_w = last_steps::over_area(14.2, part_w_m2, w);
    last_steps::by_area(heat_w, 14.2, w);
    last_steps::within_limit(61.3, 57.2, w);
    last_steps::no_less(612.0, 644.5, w);
    last_steps::no_more(612.0, 544.5, w);
    last_steps::greatest_flow(0.013, 0.021, 0.008, w);
    last_steps::worst_pa(812.3, 1204.0, w);
    last_steps::excess_pa(1204.0, 812.3, w);
    let local_pa = sums::and_count(112.0, 3.0, 77.5, w);
    last_steps::kpa(local_pa, w);
    last_steps::each_l_min(233.0, 2.0, w);
    sums::instead(900.0, 130.0, 415.0, w);
    last_steps::warmer_by(20.3, 4.4, w);
    last_steps::cooler_by(38.7, 5.1, w);
    last_steps::no_cooler(16.1, 17.8, w);
    last_steps::no_warmer(16.1, 17.8, w);
    last_steps::lesser_difference(last_steps::difference(35.7, 20.4, w), 12.0, w);
    last_steps::beyond_others(512.0, 77.5, w);
    last_steps::share_of(0.35, last_steps::left_to_carry(512.0, 77.5, w), w);
    en_12831::at_one_time(37.2, 512.0, 993.0, w);
    tube::content_l(0.0136, 17.4, w);
    Ok(())
}

/// The plant.
fn plant(w: &mut Book<'_>) -> Result<(), MethodError> {
    let expansion = en_12828::expansion(water(10.0)?.density_kg_m3, water(55.0)?.density_kg_m3, w)?;
    let grown_l = en_12828::expansion_volume(65.04, expansion, w);
    let reserve_l = en_12828::reserve(65.04, w);
    let charge_bar = en_12828::charge_pressure(6.0, w);
    let pressures = Pressures { charge_bar, final_bar: en_12828::final_pressure(3.0, w)? };
    en_12828::vessel_volume(grown_l, reserve_l, pressures, w)?;
    en_12828::pressure_below(3.0, 5.6, w);
    en_12828::suits(12.0, grown_l, reserve_l, pressures, w)?;
    en_12828::fill_pressures(12.0, grown_l, reserve_l, pressures, w)?;

    hot_water::space_load(3247.871, 90.034, 21.5, w);
    hot_water::beyond_pipes(4111.0, 21.5, w);
    open_door::difference(196.0, w);
    warmed_room::floor_gives(1000.0, 35.0, 21.0, 22.4, w);
    open_door::balance(18.0, 196.0, 17.0, w);
    let people = hot_water::people(3.0, 2.0, w);
    let litres = hot_water::daily_demand(people, 45.0, w);
    hot_water::stored_volume(litres, 50.0, w)?;
    hot_water::warming_up(180.0, 50.0, 60.0, w);
    let energy_kwh = hot_water::daily_energy(litres, 1.2, w);
    let hours = hot_water::hours(energy_kwh, 4111.0, w)?;
    hot_water::needed_output(3359.405, 21.5, hours, w)?;
    hot_water::least_output(3337.905, energy_kwh, w);

    let point = |outside_c, flow_c, capacity_w, cop| GridPoint { outside_c, flow_c, capacity_w, cop };
    let (cold, mild) = ([(35.0, 4400.0, 2.8), (45.0, 4150.0, 2.25)], [(35.0, 5100.0, 3.5), (45.0, 4850.0, 2.8)]);
    let row = |outside_c, row: [(f64, f64, f64); 2]| row.map(|(flow_c, w, cop)| point(outside_c, flow_c, w, cop));
    PerformanceMap::new([row(-7.0, cold), row(2.0, mild)].concat())?.at(-3.0, 38.0, w)?;
    // between 45 °C at -7 °C and 35 °C at 2 °C outside it ends along a line
    PerformanceMap::new([row(-7.0, cold).to_vec(), row(2.0, mild)[..1].to_vec()].concat())?.at(-6.0, 43.0, w)?;
    pump_head(&[(0.0, 72.0), (600.0, 65.0)], 491.56, w)?;
    Ok(())
}

fn recorded() -> Vec<Step> {
    let mut steps = Vec::new();
    let mut book = Book::new(&mut steps);
    for method in [losses, fabric, radiators, floors, circuits, surfaces, pipes, carried, last_ones, plant] {
        method(&mut book).unwrap();
    }
    steps
}

#[test]
fn every_recorded_formula_gives_its_recorded_result() {
    let steps = recorded();
    let mut worst = 0.0_f64;
    for step in &steps {
        let (found, result) = (evaluated(step), step.result);
        assert!(result.is_finite(), "{} = {} is {result}", step.name, step.formula);
        let off = (found - result).abs();
        worst = worst.max(if off == 0.0 { 0.0 } else { off / result.abs() });
        assert!(off <= TOLERANCE * result.abs(), "{} = {}: {found} against {result}", step.name, step.formula);
    }
    println!("{} formulas, off by {worst:.1e} at most", steps.len());
}

#[test]
fn every_formula_of_the_methods_was_among_them() {
    let steps = recorded();
    let recorded: BTreeSet<_> = steps.iter().map(|step| (step.name.to_owned(), bare(step.formula))).collect();
    let written = written();
    assert!(written.len() > 60, "the sources were not found: {} formulas", written.len());
    let missed: Vec<_> = written.difference(&recorded).collect();
    assert!(missed.is_empty(), "no call above reaches {missed:#?}");
}

/// Every name and formula that stands in an `eq!` of a method, tests and examples left out.
fn written() -> BTreeSet<(String, String)> {
    let mut found = BTreeSet::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("src/engine/methods")];
    while let Some(folder) = folders.pop() {
        read_folder(&folder, &mut folders, &mut found);
    }
    found
}

fn read_folder(folder: &Path, folders: &mut Vec<PathBuf>, found: &mut BTreeSet<(String, String)>) {
    for file in fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        if path.is_dir() {
            folders.push(path);
            continue;
        }
        if path.ends_with("workings.rs") || path.ends_with("tests.rs") {
            continue; // where the macro itself is defined and explained, and where nothing is a method
        }
        let text = fs::read_to_string(&path).unwrap();
        let code = text.split("#[cfg(test)]").next().unwrap();
        let code: Vec<_> = code.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
        for equation in code.join("\n").split("eq!(").skip(1) {
            // up to the semicolon that ends the statement, without the macro's own bracket
            let equation = equation.split(';').next().unwrap().trim_end().strip_suffix(')').unwrap();
            let (head, formula) = equation.split_once(" = ").unwrap();
            found.insert((head.rsplit(':').next().unwrap().trim().to_owned(), bare(formula)));
        }
    }
}

/// A formula without white space and without a comma that only ends a list.
fn bare(formula: &str) -> String {
    formula.split_whitespace().collect::<String>().replace(",)", ")")
}
