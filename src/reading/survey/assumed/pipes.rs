//! What is filled in about pipes.

use crate::findings;
use crate::notes::{At, Filled, Fills};
use crate::terms;

findings! {
    /// What is filled in about pipes.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Pipes: Assumption of nothing: () {
        /// How tubes are chosen, and what fittings and valves take.
        "pipework" Pipework { filled: Filled<FilledPipework> }
        at "/pipework"
        says { filled.join("; ") };

        /// The material of the tubes.
        "tubes" Tubes { material: &'static str }
        at "/pipework"
        says "runs of {material} pipe, the first material of the price book";

        /// What thermostats never shut is chosen.
        "stays_open" StaysOpenChosen {}
        at "/pipework"
        says "what stays open whatever thermostats shut is chosen: what nothing shuts, then bathrooms and halls, then living rooms and kitchens, as far as the heat source needs it and no room gets too warm; bedrooms only where the job says so";

        /// The circuit to the outdoor unit is not told; whether freeze-protection valves are in it.
        "primary" NoPrimary { has_freeze_valves: bool }
        at "/pipework"
        says {
            let valves = if has_freeze_valves { ", its freeze-protection valves among it" } else { "" };
            format!("the circuit to the outdoor unit is not told: what it takes is counted in the Kv of the plant room{valves}")
        };

        /// What the coil of the cylinder takes.
        "coil_kv" CoilKv { coil_kv_m3_h: f64 }
        at "/pipework/hot_water_circuit"
        says "a Kv of {coil_kv_m3_h} m³/h for the cylinder's coil";

        /// The coldest air that water outdoors is to bear.
        "coldest_air" ColdestAir { coldest_c: f64, below_design_k: f64 }
        at "/pipework"
        says "water outdoors is to bear {coldest_c:.1} °C, {below_design_k} K below the outside design temperature";

        /// Where pipes lie, and what they lose heat to.
        "surroundings" Surroundings { surrounding_c: f64 }
        at "/pipework"
        says "runs for which the job names no place lie in occupied rooms, the hot-water circuit in the plant room; pipes lose heat to {surrounding_c} °C in rooms and plant room, to the outside design temperature in the open, and to what lies midway in lofts and unheated places";

        /// What is round runs of which the job says nothing.
        "insulation" Bare {}
        at "/pipework"
        says "runs for which the job names no insulation are bare, but for what lies in the open, and for new ones in lofts and unheated places";

        /// A pipe in the open of whose insulation the job says nothing.
        "insulation" InTheOpen { at: At, open_m: f64 }
        at "{at}"
        says "{open_m} m of it lie in the open, and it is insulated as is usual there";

        /// A new pipe in a loft or an unheated place of whose insulation the job says nothing.
        "insulation" InTheCold { at: At }
        at "{at}"
        says "it lies where it is cold, and is insulated as is usual there";

        /// How well readings of a hidden tube are known.
        "readings" Readings { at: At, filled: Filled<FilledReadings> }
        at "{at}/readings"
        says ("readings of the pipe: {}", filled.join(", "));

        /// Runs that are estimated for what no run of the job serves, storey by storey.
        "runs_estimated" Runs {
            storey: i32,
            emitters: usize,
            manifolds: usize,
            route_m: f64,
            riser_m: f64,
            kept_m: f64,
            by: By,
            spread_percent: f64,
        }
        at "/pipework/runs"
        says {
            let riser = if riser_m > 0.0 { format!(", {riser_m:.1} m of riser among it") } else { String::new() };
            let kept = if kept_m > 0.0 { format!("; {kept_m:.1} m of it lie there already") } else { String::new() };
            let many = |count: usize, one: &str| match count {
                1 => format!("one {one}"),
                _ => format!("{count} {one}s"),
            };
            let ends = match (emitters, manifolds) {
                (emitters, 0) => many(emitters, "emitter"),
                (0, manifolds) => many(manifolds, "manifold"),
                (emitters, manifolds) => format!("{} and {}", many(emitters, "emitter"), many(manifolds, "manifold")),
            };
            format!(
                "on storey {storey} no run serves {ends}: a tree of {route_m:.1} m of route is taken, {by}{riser}{kept}; it may be off by {spread_percent:.0} % either way, and is to be drawn before pipe is ordered"
            )
        };

        /// How sizes that were seen are taken to lie in estimated runs that stay.
        "kept_tubes" KeptTubes { velocity_m_s: f64, drop_k: f64, radiator_w: f64 }
        at "/pipework/existing"
        says "which of the sizes seen lies where is not known: each old run is taken to be the narrowest that could carry the radiators behind it before ({radiator_w} W each, a drop of {drop_k} K, {velocity_m_s} m/s), and the widest where none could; look at them on site, for each is judged by what it has to carry now";
    }
}

/// What estimated runs are taken by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// Where things are on the plan.
    Places,
    /// The floor area of the storey and how many emitters it has.
    Area,
    /// The same of a storey that is long and narrow.
    NarrowArea,
}

terms! {
    By {
        Places: "places", "by the places of its rooms";
        Area: "floor_area", "by its floor area";
        NarrowArea: "floor_area_long_and_narrow", "by its floor area, long and narrow as it is";
    }
}

/// What is filled in about pipework.
#[derive(Debug, Clone, PartialEq)]
pub struct FilledPipework;

impl Fills for FilledPipework {
    const NAMES: &'static [&'static str] = &[
        "life_years",
        "electricity_per_kwh",
        "pump_running_h",
        "pump_efficiency",
        "velocity_max_m_s",
        "gradient_max_pa_m",
        "bend_zeta",
        "tee_zeta",
        "radiator_kv_m3_h",
        "plant_kv_m3_h",
        "plant_kv_times_flow",
        "loop_kv_m3_h",
    ];
}

/// What is filled in about readings.
#[derive(Debug, Clone, PartialEq)]
pub struct FilledReadings;

impl Fills for FilledReadings {
    const NAMES: &'static [&'static str] = &["flow_spread", "pressure_spread", "temperature_c"];
}
