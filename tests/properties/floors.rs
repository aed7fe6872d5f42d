//! Heated floors of random rooms: what must rise, fall, balance and stay below its limits.

use proptest::prelude::*;
use serde_json::{Value, json};
use tundish::design::DesignError;
use tundish::design::emitters::{self, Emitters, Floor, Tells};
use tundish::methods::floor_conduction::{Pipe, Section, solve_on};
use tundish::methods::{Budget, MethodError, Off, en_1264_2};
use tundish::survey::Survey;

use super::houses::{asked, heat_loss};

prop_compose! {
    /// A room over what lies below, with one heated floor at a spacing of its own.
    fn room()(
        inside_c in 16.0..24.0_f64,
        floor_area_m2 in 4.0..40.0_f64,
        lost_w_m2 in 5.0..150.0_f64,
        below_c in -5.0..20.0_f64,
        u_value in 0.1..0.8_f64,
        flow_c in 28.0..52.0_f64,
        drop_k in 2.0..7.0_f64,
        spacing_mm in prop::sample::select(vec![100, 150, 200, 250, 300, 400]),
        cover_mm in 20.0..70.0_f64,
        screed_w_mk in 0.9..1.6_f64,
        covering_mm in 0.0..12.0_f64,
        height_mm in prop::sample::select(vec![0.0, 0.0, 10.0]),
        edge_share in prop::option::of(0.1..0.5_f64),
        design_on in prop::sample::select(vec!["standard", "conduction", "lower"]),
        drop_rule in prop::sample::select(vec!["logarithm", "logarithm", "approximation"]),
    ) -> Value {
        let difference_k = inside_c + 10.0;
        json!({
            "schema": 1,
            "site": {"nation": "england",
                "climate": {"kind": "given", "outside_design_c": -10, "annual_mean_outside_c": 9}},
            "dwelling": {"thermal_bridging": {"kind": "allowance", "allowance_w_m2k": 0}, "air_heat_wh_m3k": 0.34},
            "constructions": {"wall": {"kind": "known", "u_value_w_m2k": 1},
                "floor": {"kind": "known", "u_value_w_m2k": u_value}},
            "rooms": {"room": {"use": "living", "floor_area_m2": floor_area_m2, "height_m": 2.5,
                "inside_design_c": inside_c, "air_changes_per_h": 0,
                "surfaces": {
                    "wall": {"part": "wall", "construction": "wall",
                        "area_m2": lost_w_m2 * floor_area_m2 / difference_k, "faces": {"kind": "outside"}},
                    "floor": {"part": "floor", "construction": "floor", "area_m2": floor_area_m2,
                        "faces": {"kind": "temperature", "temperature_c": below_c}}},
                "emitters": {"floor": {"kind": "heated_floor", "tube": "floor_tube_16",
                    "pipe_height_mm": height_mm, "spacings_mm": [spacing_mm],
                    "screed": {"conductivity_w_mk": screed_w_mk, "cover_mm": cover_mm},
                    "covering": {"thickness_mm": covering_mm, "conductivity_w_mk": 0.1},
                    "edge_area_m2": edge_share.map(|share| share * floor_area_m2), "drop_rule": drop_rule,
                    "design_on": {"kind": design_on}}}}},
            "heating": {"flow_temperature": {"kind": "fixed", "flow_temperature_c": flow_c}, "drop_k": drop_k},
            "pipework": {"manifolds": {"m": {}}}
        })
    }
}

/// The floor of a job; nothing where it lies beyond the tables of its limit curve.
fn floor(job: &Value) -> Option<(Survey, Emitters)> {
    let (survey, loss) = heat_loss(job);
    match emitters::compute(asked(&survey, Tells::All, &Budget::unbounded()), &loss, &mut Off) {
        Ok(found) => Some((survey, found)),
        Err(DesignError::Method { error: MethodError::OutOfRange { .. }, .. }) => None,
        Err(error) => panic!("{error} in {job}"),
    }
}

fn parts(found: &Emitters) -> (&Floor, &emitters::Emitter) {
    found.floors().map(|(_, floor, emitter)| (floor, emitter)).next().unwrap()
}

fn capacity_w(job: &Value) -> Option<f64> {
    floor(job).map(|(_, found)| parts(&found).1.capacity_w)
}

/// The job with its floor changed.
fn with(job: &Value, change: impl FnOnce(&mut Value)) -> Value {
    let mut other = job.clone();
    change(&mut other["rooms"]["room"]["emitters"]["floor"]);
    other
}

fn warmer(job: &Value, by_k: f64) -> Value {
    let mut other = job.clone();
    let flow = &mut other["heating"]["flow_temperature"]["flow_temperature_c"];
    *flow = json!(flow.as_f64().unwrap() + by_k);
    other
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// By conduction, the film and everything else alike.
    #[test]
    fn a_section_gives_less_with_wider_spacing_and_more_on_it(
        spacing_m in 0.06..0.4_f64, wider_m in 0.01..0.1_f64, under_m in 0.0..0.03_f64, cover_m in 0.015..0.09_f64,
        screed_w_mk in 0.8..1.8_f64, covering_m2k_w in 0.0..0.12_f64, below_m2k_w in 0.5..5.0_f64, film_w_m2k in 200.0..3000.0_f64,
    ) {
        let pipe = Pipe { outside_m: 0.016, wall_m: 0.002, conductivity_w_mk: 0.35, sheath: None };
        let section = Section {
            spacing_m, pipe, film_w_m2k, under_m, cover_m, screed_w_mk, covering_m2k_w, surface_w_m2k: 10.8, below_m2k_w,
        };
        let up = |section: &Section| solve_on(section, 8, &Budget::unbounded()).unwrap().response.up_w_m2k.water;
        let made = up(&section);
        let less = [
            Section { spacing_m: spacing_m + wider_m, ..section },
            Section { covering_m2k_w: covering_m2k_w + 0.005, ..section },
            Section { film_w_m2k: film_w_m2k * 0.9, ..section },
            Section { below_m2k_w: below_m2k_w * 0.8, ..section },
        ];
        for other in &less {
            let given = up(other);
            prop_assert!(given < made, "{:?} gives {} and {:?} gives {}", other, given, section, made);
        }
    }
}

/// By the approximation of a drop, which jumps where it changes its form, more flow may be met by an output below the load's as well; the
/// floor gives the greater, and what its water loses is what it gives.
#[test]
fn more_flow_gives_no_less_where_the_approximation_jumps() {
    let job = json!({
        "schema": 1,
        "site": {"nation": "england", "climate": {"kind": "given", "outside_design_c": -10, "annual_mean_outside_c": 9}},
        "dwelling": {"thermal_bridging": {"kind": "allowance", "allowance_w_m2k": 0}, "air_heat_wh_m3k": 0.34},
        "constructions": {"wall": {"kind": "known", "u_value_w_m2k": 1},
            "floor": {"kind": "known", "u_value_w_m2k": 0.759_921_816_986_232_5}},
        "rooms": {"room": {"use": "living", "floor_area_m2": 4.0, "height_m": 2.5, "inside_design_c": 23.761_067_410_441_81,
            "air_changes_per_h": 0, "surfaces": {
                "wall": {"part": "wall", "construction": "wall", "area_m2": 6.785_054_992_611_992, "faces": {"kind": "outside"}},
                "floor": {"part": "floor", "construction": "floor", "area_m2": 4.0,
                    "faces": {"kind": "temperature", "temperature_c": -2.250_707_799_707_003_5}}},
            "emitters": {"floor": {"kind": "heated_floor", "tube": "floor_tube_16", "pipe_height_mm": 0.0, "spacings_mm": [400],
                "screed": {"conductivity_w_mk": 1.242_576_049_771_465_5, "cover_mm": 67.768_547_949_164_93},
                "covering": {"thickness_mm": 1.221_336_317_582_036, "conductivity_w_mk": 0.1},
                "drop_rule": "approximation", "design_on": {"kind": "standard"}}}}},
        "heating": {"flow_temperature": {"kind": "fixed", "flow_temperature_c": 46.175_401_699_091_424}, "drop_k": 2.0},
        "pipework": {"manifolds": {"m": {}}},
    });
    let (_, found) = floor(&job).unwrap();
    let (floor, emitter) = parts(&found);
    let emitters::Flowing { output_w, return_c, flow_kg_s } = emitter.set;
    assert!(flow_kg_s > emitter.at_load.flow_kg_s && output_w > emitter.at_load.output_w);
    let water_w = found.water.specific_heat_j_kgk * flow_kg_s * (found.flow_c - return_c);
    let taken_w = output_w + floor.besides.whole_w();
    assert!((water_w - taken_w).abs() <= 1e-9 * taken_w, "{water_w} {taken_w}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_floor_gives_no_more_than_its_limits_and_its_circuit_balances(job in room()) {
        let Some((survey, found)) = floor(&job) else { return Ok(()) };
        let (floor, emitter) = parts(&found);
        let written = survey.rooms.iter().next().unwrap().emitters.iter().next().unwrap().floor().unwrap();
        let room_c = survey.rooms.iter().next().unwrap().inside_c;
        let emitters::Flowing { output_w, return_c, flow_kg_s } = emitter.set;
        prop_assert!(emitter.at_load.output_w <= emitter.load_w * (1.0 + 1e-12));
        prop_assert!(emitter.at_load.output_w <= emitter.capacity_w * (1.0 + 1e-9));
        // what its loops are set to at least may be too much for its surface, which is told
        let is_told = found.unmet.iter().any(|unmet| matches!(unmet, emitters::Unmet::FloorTooWarm { .. }));
        prop_assert_eq!(is_told, floor.beyond_limit().is_some());
        let mut given_w = 0.0;
        for zone in &floor.zones {
            let limit_c = if zone.plan.edge { written.edge.unwrap().surface_limit_c } else { written.surface_limit_c };
            let by_surface = en_1264_2::output_at_surface_excess(limit_c - room_c, &mut Off);
            prop_assert!(is_told || zone.state.output_w_m2 <= zone.limit_w_m2 * (1.0 + 1e-9));
            prop_assert!(zone.limit_w_m2 <= by_surface * (1.0 + 1e-12));
            prop_assert!(is_told || zone.surface_c <= limit_c + 1e-6);
            if let (true, Some(by)) = (written.goes_by_conduction() && !is_told, zone.by_conduction) {
                prop_assert!(by.surface_highest_c <= limit_c + 1e-6, "{} over {limit_c}", by.surface_highest_c);
            }
            given_w += zone.plan.area_m2 * zone.state.output_w_m2;
        }
        // a load that is carried to the last bit is carried
        prop_assert!((given_w - output_w).abs() <= 1e-9 * given_w.max(1.0), "{given_w} {output_w} {:?} {:?} {:?}", emitter.at_load, floor.zones, floor.besides);
        let water_w = found.water.specific_heat_j_kgk * flow_kg_s * (found.flow_c - return_c);
        let taken_w = output_w + floor.besides.whole_w();
        prop_assert!((water_w - taken_w).abs() <= 1e-9 * taken_w.max(1.0), "{water_w} {taken_w}");
        prop_assert!(return_c >= room_c - 1e-9 && return_c < found.flow_c);
        for (length_m, _) in floor.loops() {
            prop_assert!(length_m <= written.laying.loop_max_m * (1.0 + 1e-9));
        }
        prop_assert!(floor.zones.iter().all(|zone| zone.loop_pa <= written.laying.loop_max_pa));
    }

    #[test]
    fn output_grows_with_the_flow_and_falls_with_covering_and_spacing(job in room(), by_k in 0.5..5.0_f64) {
        let Some(made_w) = capacity_w(&job) else { return Ok(()) };
        if let Some(hot_w) = capacity_w(&warmer(&job, by_k)) {
            prop_assert!(hot_w >= made_w * (1.0 - 1e-9), "{hot_w} below {made_w}");
        }
        // at a limit more on the floor may let it give more: its warmest spot is evened out
        let (_, found) = floor(&job).unwrap();
        let at_limit = |zone: &emitters::Zone| zone.capacity_w_m2 >= zone.limit_w_m2 * (1.0 - 1e-9);
        prop_assume!(!parts(&found).0.zones.iter().any(at_limit));
        let covered = with(&job, |floor| {
            let covering = &mut floor["covering"]["thickness_mm"];
            *covering = json!(covering.as_f64().unwrap() + 2.0);
        });
        // less flow may want fewer loops, and more water in each has a better film
        let loops = |job: &Value| floor(job).map(|(_, found)| parts(&found).0.loop_count());
        if let Some(covered_w) = capacity_w(&covered).filter(|_| loops(&covered) == loops(&job)) {
            prop_assert!(covered_w <= made_w * (1.0 + 1e-9), "{covered_w} above {made_w}");
        }
        let wider = with(&job, |floor| {
            floor["spacings_mm"] = json!([floor["spacings_mm"][0].as_f64().unwrap() + 50.0]);
            floor["edge_spacing_mm"] = floor["spacings_mm"][0].clone();
        });
        let standard = with(&job, |floor| floor["design_on"] = json!({"kind": "standard"}));
        let wider_standard = with(&wider, |floor| floor["design_on"] = json!({"kind": "standard"}));
        if let (Some(near_w), Some(far_w)) = (capacity_w(&standard), capacity_w(&wider_standard)) {
            prop_assert!(far_w <= near_w * (1.0 + 1e-9), "{far_w} above {near_w}");
        }
    }

    /// Of several spacings the widest that carries the room by itself and runs no surface too warm at its least flow, then the widest
    /// that carries it; and where none does one that gives as much as any, or any that runs none too warm.
    #[test]
    fn the_widest_spacing_that_carries_is_laid(job in room()) {
        const SPACINGS_MM: [u32; 4] = [300, 200, 150, 100];
        let laid_at = |spacings_mm: &[u32]| {
            let job = with(&job, |floor| {
                floor["spacings_mm"] = json!(spacings_mm);
                if !floor["edge_area_m2"].is_null() {
                    floor["edge_spacing_mm"] = json!(100);
                }
            });
            let (_, found) = floor(&job)?;
            let (_, floor, emitter) = found.floors().next()?;
            Some((floor.spacing_mm(), emitter.capacity_w, emitter.load_w, floor.beyond_limit().is_some()))
        };
        let alone: Vec<_> = SPACINGS_MM.iter().filter_map(|spacing_mm| laid_at(&[*spacing_mm])).collect();
        let Some((spacing_mm, capacity_w, load_w, _)) = laid_at(&SPACINGS_MM) else {
            prop_assert!(alone.is_empty());
            return Ok(());
        };
        let carries = |(_, capacity_w, ..): &&(f64, f64, f64, bool)| *capacity_w >= load_w;
        let widest = alone.iter().filter(carries).find(|(.., is_too_warm)| !is_too_warm);
        match widest.or(alone.iter().find(carries)) {
            Some((widest_mm, ..)) => prop_assert_eq!(spacing_mm, *widest_mm),
            None => {
                let all_too_warm = alone.iter().all(|(.., is_too_warm)| *is_too_warm);
                let looked_at = alone.iter().filter(|(.., is_too_warm)| all_too_warm || !is_too_warm);
                let most_w = looked_at.map(|(_, capacity_w, ..)| *capacity_w).fold(0.0, f64::max);
                prop_assert!(capacity_w >= most_w * (1.0 - 1e-9), "{} of {} W", capacity_w, most_w);
            }
        }
    }

    #[test]
    fn at_its_least_flow_a_floor_just_carries_its_room_and_half_a_kelvin_less_is_not_enough(job in room()) {
        let Some((survey, found)) = floor(&job) else { return Ok(()) };
        let (floor_found, emitter) = parts(&found);
        let Some(least_c) = floor_found.least_flow_c else { return Ok(()) };
        let at = |flow_c: f64| {
            let mut other = job.clone();
            other["heating"]["flow_temperature"]["flow_temperature_c"] = json!(flow_c);
            floor(&other)
        };
        let (room_c, drop_k) = (survey.rooms.iter().next().unwrap().inside_c, survey.heating.drop_k);
        prop_assume!(least_c < 79.0 && least_c > 20.5);
        let loops = |floor: &Floor| floor.zones.iter().map(|zone| zone.loops.count).collect::<Vec<_>>();
        let Some((_, enough)) = at(least_c) else { return Ok(()) };
        let (then, now) = (parts(&enough), loops(floor_found));
        prop_assert!(then.1.capacity_w >= emitter.load_w * (1.0 - 1e-9), "{} of {}", then.1.capacity_w, emitter.load_w);
        // where it was too weak at the common flow fewer loops may do at a warmer one
        prop_assert!(loops(then.0).iter().zip(&now).all(|(then, now)| then <= now));
        // half a kelvin less is too cool, or would take more pressure than the loops that lie there may
        if least_c - 0.5 > room_c + drop_k && emitter.capacity_w >= emitter.load_w {
            if let Some((_, short)) = at(least_c - 0.5) {
                let (then, weak) = (loops(parts(&short).0), parts(&short).1.capacity_w < emitter.load_w);
                prop_assert!(weak || then > now, "{then:?} {now:?}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_lowest_flow_of_a_small_house_is_enough_and_half_a_kelvin_less_is_not(job in room(), radiator_w in 100.0..900.0_f64) {
        let mut job = job;
        let mut other = job["rooms"]["room"].clone();
        other["emitters"] = json!({"rad": {"kind": "radiator"}});
        let inside_c = other["inside_design_c"].as_f64().unwrap();
        other["surfaces"]["wall"]["area_m2"] = json!(radiator_w / (inside_c + 10.0));
        job["rooms"]["other"] = other;
        job["heating"]["flow_temperature"] = json!({"kind": "lowest", "least_c": 25, "most_c": 60});
        let Some((survey, found)) = floor(&job) else { return Ok(()) };
        let lowest = found.lowest.clone().unwrap();
        let (_, loss) = heat_loss(&job);
        let unmet = |flow_c: f64| {
            emitters::at(asked(&survey, Tells::Duty, &Budget::unbounded()), &loss, flow_c, &mut Off)
                .map(|found| found.unmet.iter().filter(|unmet| lowest.counts(unmet)).count())
        };
        prop_assert!(!lowest.carries || !found.unmet.iter().any(|unmet| lowest.counts(unmet)));
        if lowest.carries && lowest.flow_c > 25.25 {
            if let Ok(unmet) = unmet(lowest.flow_c - 0.5) {
                prop_assert!(unmet > 0 && lowest.held_by.is_some(), "{:?}", lowest);
            }
        }
    }

    #[test]
    fn a_hotter_flow_never_needs_a_larger_or_dearer_radiator(
        job in room(), radiator_w in 100.0..900.0_f64, by_k in 0.5..8.0_f64,
    ) {
        let mut job = job;
        job["rooms"]["room"]["emitters"] = json!({"rad": {"kind": "radiator"}});
        job["rooms"]["room"]["surfaces"]["wall"]["area_m2"] =
            json!(radiator_w / (job["rooms"]["room"]["inside_design_c"].as_f64().unwrap() + 10.0));
        for choice in ["least_output", "least_cost"] {
            job["heating"]["emitter_choice"] = json!(choice);
            let taken = |job: &Value| {
                let (survey, found) = floor(job).unwrap();
                let is_enough = found.unmet.is_empty();
                let radiator = found.radiators().map(|(.., radiator)| *radiator).next()?;
                Some((radiator.rated_w, survey.book.product(radiator.product?).1.unit_cost(), is_enough))
            };
            let (cool, hot) = (taken(&job), taken(&warmer(&job, by_k)));
            if let (Some((cool_w, cool_cost, true)), Some((hot_w, hot_cost, enough))) = (cool, hot) {
                prop_assert!(enough);
                match choice {
                    "least_output" => prop_assert!(hot_w <= cool_w, "{} above {}", hot_w, cool_w),
                    _ => prop_assert!(hot_cost <= cool_cost, "{} above {}", hot_cost, cool_cost),
                }
            }
        }
    }
}
