//! Small houses with emitters of every kind: what must be carried, conserved and monotone, and the lowest flow temperature.

use proptest::prelude::*;
use serde_json::{Map, Value, json};
use tundish::design::emitters::{self, AsideWhy, Emitters, Kind, STEP_K, Standing, Tells, Unmet};
use tundish::design::source;
use tundish::estimate::{Counted, emitter_cost};
use tundish::methods::{Budget, MethodError, Off};
use tundish::proposal;
use tundish::survey::{EmitterAt, Share, Survey};

use super::houses::{asked, heat_loss, prepared};
use super::steps::make;

/// What may stand in a room, floors among it or not.
fn emitters_of(with_floors: bool) -> BoxedStrategy<Value> {
    let rad = |fit: Value| json!({"kind": "radiator", "fit": fit});
    let floor = json!({"kind": "heated_floor", "tube": "floor_tube_16", "screed": {}, "tail_m": 4});
    let fit = (300.0..900.0_f64, 400.0..2000.0_f64).prop_map(
        |(height_mm, length_mm)| json!({"height_max_mm": height_mm, "length_max_mm": length_mm, "depth_max_mm": 160}),
    );
    let old = (200.0..2500.0_f64, 1.2..1.4_f64, prop::sample::select(vec!["always", "if_enough"])).prop_map(
        |(output_w, exponent, keep)| {
            json!({"kind": "radiator", "existing":
                {"kind": "rated", "output_w": output_w, "exponent": exponent, "water_l": 5, "keep": keep}})
        },
    );
    let walls = prop_oneof![
        2 => fit.clone().prop_map(move |fit| json!({"a": rad(fit)})),
        1 => old.clone().prop_map(|old| json!({"a": old})),
        1 => (fit.clone(), old).prop_map(move |(fit, old)| json!({"a": old, "b": rad(fit)})),
        1 => (fit.clone(), fit.clone()).prop_map(move |(one, other)| json!({"a": rad(one), "b": rad(other)})),
        1 => (0.1..0.9_f64).prop_map(move |share| json!({"a": {"kind": "radiator", "share": share}, "b": rad(json!({}))})),
        1 => Just(json!({"a": {"kind": "fan_convector"}})),
        1 => Just(json!({"a": {"kind": "fan_convector"}, "b": {"kind": "radiator"}})),
        1 => Just(json!({"a": {"kind": "fan_convector", "sound_max_db": 35}, "b": {"kind": "radiator", "towel_rail": true}})),
    ];
    if !with_floors {
        return walls.boxed();
    }
    let (alone, given) = (floor.clone(), floor.clone());
    prop_oneof![
        3 => walls,
        2 => Just(json!({"floor": alone})),
        2 => fit.prop_map(move |fit| json!({"floor": floor, "rad": rad(fit)})),
        1 => (0.1..0.9_f64).prop_map(move |share| {
            let mut floor = given.clone();
            floor["share"] = json!(share);
            json!({"floor": floor, "rad": {"kind": "radiator"}})
        }),
    ]
    .boxed()
}

prop_compose! {
    fn room(with_floors: bool)(
        inside_c in 8.0..23.0_f64,
        floor_area_m2 in 5.0..28.0_f64,
        lost_w_m2 in 10.0..75.0_f64,
        emitters in emitters_of(with_floors),
    ) -> Value {
        json!({"use": "living", "floor_area_m2": floor_area_m2, "height_m": 2.4, "inside_design_c": inside_c,
            "air_changes_per_h": 0,
            "surfaces": {
                "wall": {"part": "wall", "construction": "wall",
                    "area_m2": lost_w_m2 * floor_area_m2 / (inside_c + 3.0), "faces": {"kind": "outside"}},
                "floor": {"part": "floor", "construction": "floor", "area_m2": floor_area_m2,
                    "faces": {"kind": "temperature", "temperature_c": 5}}},
            "emitters": emitters})
    }
}

prop_compose! {
    fn house(with_floors: bool)(
        rooms in prop::collection::vec(room(with_floors), 1..5),
        drop_k in 3.0..8.0_f64,
        choice in prop::sample::select(vec!["least_cost", "least_output"]),
        mean in prop::sample::select(vec!["logarithmic", "logarithmic", "arithmetic"]),
    ) -> Value {
        let rooms: Map<String, Value> =
            rooms.into_iter().enumerate().map(|(index, room)| (format!("r{index}"), room)).collect();
        json!({"schema": 1,
            "site": {"nation": "england",
                "climate": {"kind": "given", "outside_design_c": -3, "annual_mean_outside_c": 10}},
            "dwelling": {"thermal_bridging": {"kind": "allowance", "allowance_w_m2k": 0}, "air_heat_wh_m3k": 0.34},
            "constructions": {"wall": {"kind": "known", "u_value_w_m2k": 1}, "floor": {"kind": "known", "u_value_w_m2k": 0.2}},
            "rooms": rooms,
            "heating": {"drop_k": drop_k, "emitter_choice": choice, "radiator_mean": mean},
            "pipework": {"manifolds": {"m": {}}}})
    }
}

/// What may lie on the way to an end: a tube that nobody has laid yet, one that lies there, or one that nobody can see.
fn run() -> impl Strategy<Value = Value> {
    let lies = prop::sample::select(vec![
        json!({}),
        json!({"existing_tube": "cu_15", "keep": "if_enough"}),
        json!({"existing_tube": "cu_22", "keep": "always"}),
        json!({"readings": {"points": [{"flow_l_h": 200, "pressure_difference_kpa": 2.2},
            {"flow_l_h": 400, "pressure_difference_kpa": 7.6}]}}),
        json!({"readings": {"points": [{"flow_l_h": 100, "pressure_difference_kpa": 20}]}, "keep": "always"}),
    ]);
    (1.0..25.0_f64, 0..6_u32, lies).prop_map(|(length_m, bends, mut run)| {
        run["length_m"] = json!(length_m);
        run["bends"] = json!(bends);
        run
    })
}

/// Runs to every end of a house from one trunk, a circuit for hot water, a primary, and cooling where there are floors.
fn pipe(job: &mut Value, runs: &[Value], (has_circuits, cools): (bool, bool)) {
    let mut ends: Vec<Value> = Vec::new();
    let mut cooled: Vec<String> = Vec::new();
    for (room, written) in job["rooms"].as_object().unwrap() {
        for (emitter, kind) in written["emitters"].as_object().unwrap() {
            if kind["kind"] == "heated_floor" {
                cooled.push(room.clone());
            } else {
                ends.push(json!({"room": room, "emitter": emitter}));
            }
        }
    }
    if !cooled.is_empty() {
        ends.push(json!({"manifold": "m"}));
    }
    let mut tree = json!({"trunk": runs[0]});
    tree["trunk"]["from"] = json!("plant");
    for (number, end) in ends.into_iter().enumerate() {
        let mut run = runs[1 + number % (runs.len() - 1)].clone();
        run["from"] = json!("trunk");
        run["serves"] = json!([end]);
        tree[format!("to_{number}")] = run;
    }
    job["pipework"]["runs"] = tree;
    if has_circuits {
        job["pipework"]["primary"] =
            json!({"length_m": 9, "outdoor_m": 7, "bends": 6, "hoses": {"kv_m3_h": 8, "length_m": 1}});
        job["pipework"]["hot_water_circuit"] = json!({"length_m": 2.5, "bends": 5});
    }
    if cools && !cooled.is_empty() {
        job["cooling"] = json!({"flow_temperature_c": 17, "rise_k": 3, "rooms": cooled});
    }
}

/// The emitters at a flow temperature; nothing where a floor lies outside its method.
fn at(survey: &Survey, loss: &tundish::design::heat_loss::HeatLoss, flow_c: f64) -> Option<Emitters> {
    match emitters::at(asked(survey, Tells::Duty, &Budget::unbounded()), loss, flow_c, &mut Off) {
        Ok(found) => Some(found),
        Err(tundish::design::DesignError::Method { error: MethodError::OutOfRange { .. }, .. }) => None,
        Err(error) => panic!("{error}"),
    }
}

fn part(unmet: &emitters::Unmet) -> f64 {
    let (need, reached) = unmet.figures();
    reached / need
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_loads_of_a_room_are_its_loss_and_nothing_too_small_is_bought(job in house(true), flow_c in 28.0..60.0_f64) {
        let (survey, loss) = heat_loss(&job);
        let Some(found) = at(&survey, &loss, flow_c) else { return Ok(()) };
        for (index, room) in found.rooms.enumerate() {
            let loss_w = loss.rooms[index].design_heat_loss_w;
            let loads_w: f64 = room.iter().map(|emitter| emitter.load_w).sum();
            prop_assert!((loads_w - loss_w).abs() < 1e-6, "{loads_w} of {loss_w}");
            for (which, emitter) in room.enumerate() {
                prop_assert!(emitter.load_w >= 0.0 && emitter.at_load.output_w <= emitter.load_w * (1.0 + 1e-9));
                let is_enough = emitter.reached_w() >= emitter.load_w * (1.0 - 1e-9);
                let is_told = found.unmet.iter().any(|unmet| unmet.emitter() == Some(EmitterAt { room: index, emitter: which }));
                // a floor may be told for its loops besides
                prop_assert!(is_enough != is_told || survey.rooms[index].emitters[which].floor().is_some());
                match &emitter.kind {
                    Kind::Radiator(Some(radiator)) => {
                        prop_assert_eq!(radiator.standing == Standing::TooSmall, !is_enough && radiator.standing != Standing::Kept);
                    }
                    Kind::FanConvector(Some(unit)) => prop_assert_eq!(unit.is_enough, is_enough),
                    Kind::Radiator(None) | Kind::FanConvector(None) | Kind::Floor(_) | Kind::BeyondTables(_) => {}
                }
            }
            // where shares are found, nobody is short while another of them could do more
            let found_ones = || {
                let all = room.iter().zip(&survey.rooms[index].emitters);
                all.filter(|(_, written)| written.share == Share::Found).map(|(emitter, _)| emitter)
            };
            let is_short = |emitter: &&emitters::Emitter| emitter.reached_w() < emitter.load_w * (1.0 - 1e-9);
            if found_ones().any(|emitter| is_short(&emitter)) {
                for emitter in found_ones() {
                    prop_assert!(emitter.capacity_w <= emitter.load_w.max(emitter.reached_w()) * (1.0 + 1e-6), "{emitter:?}");
                }
            }
        }
        // what is bought is enough, each of it
        let enough = found.rooms.iter().flatten().filter(|emitter| match &emitter.kind {
            Kind::Radiator(Some(radiator)) => matches!(radiator.standing, Standing::New | Standing::Replaced),
            Kind::FanConvector(Some(unit)) => unit.is_enough,
            Kind::Radiator(None) | Kind::FanConvector(None) | Kind::Floor(_) | Kind::BeyondTables(_) => false,
        });
        let enough: Vec<_> = enough.collect();
        prop_assert!(enough.iter().all(|emitter| emitter.capacity_w >= emitter.load_w));
        prop_assert_eq!(enough.len(), found.bought().count());
    }

    #[test]
    fn what_hangs_on_walls_gives_more_and_costs_no_more_where_the_flow_is_hotter(
        job in house(false), flow_c in 30.0..55.0_f64, by_k in 0.5..10.0_f64,
    ) {
        let (survey, loss) = heat_loss(&job);
        let (Some(cool), Some(hot)) = (at(&survey, &loss, flow_c), at(&survey, &loss, flow_c + by_k)) else { return Ok(()) };
        // a room that is carried stays carried; of one that is not more emitters may be short, as a fan's data begin
        let short = |found: &Emitters| found.not_carried().into_iter().map(|(room, ..)| room).collect::<Vec<_>>();
        prop_assert!(short(&hot).iter().all(|room| short(&cool).contains(room)));
        for (cool, hot) in cool.rooms.iter().flatten().zip(hot.rooms.iter().flatten()) {
            let same = match (&cool.kind, &hot.kind) {
                (Kind::Radiator(Some(a)), Kind::Radiator(Some(b))) => a.product == b.product,
                (Kind::FanConvector(Some(a)), Kind::FanConvector(Some(b))) => a.product == b.product,
                _ => false,
            };
            prop_assert!(!same || hot.capacity_w > cool.capacity_w, "{} {}", hot.capacity_w, cool.capacity_w);
        }
        // old radiators that may stay or go change what is left for those beside them, and so do the data of fan convectors
        let all = || survey.rooms.iter().flat_map(|room| &room.emitters);
        let is_new = all().all(|emitter| emitter.existing().is_none());
        let is_radiators = all().all(|emitter| emitter.hanging().is_some());
        if !cool.unmet.is_empty() || !is_new || !is_radiators {
            return Ok(());
        }
        if job["heating"]["emitter_choice"] == "least_cost" {
            let cost = |found: &Emitters| emitter_cost(&survey, found, Counted::Bought).unwrap();
            prop_assert!(cost(&hot) <= cost(&cool));
        } else {
            let rated_w = |kind: &Kind| match kind {
                Kind::Radiator(radiator) => radiator.map_or(0.0, |radiator| radiator.rated_w),
                Kind::FanConvector(_) | Kind::Floor(_) | Kind::BeyondTables(_) => 0.0,
            };
            for (cool, hot) in cool.rooms.iter().flatten().zip(hot.rooms.iter().flatten()) {
                prop_assert!(rated_w(&hot.kind) <= rated_w(&cool.kind), "{:?} {:?}", cool.kind, hot.kind);
            }
        }
    }

    /// Conservation and bookkeeping through every stage to the price.
    #[test]
    fn every_result_is_as_it_must_be(
        job in house(true), is_lowest in any::<bool>(), all_shut in any::<bool>(),
        piped in prop::option::of((prop::collection::vec(run(), 2..8), any::<(bool, bool)>())),
    ) {
        let mut job = job;
        if let Some((runs, besides)) = piped {
            pipe(&mut job, &runs, besides);
        }
        job["commercial"] = json!({"quote_date": "2026-11-02", "programme_start": "2027-01-11"});
        if is_lowest {
            job["heating"]["flow_temperature"] = json!({"kind": "lowest"});
        }
        if all_shut {
            job["pipework"]["stays_open"] = json!([]);
        }
        match proposal::check(&prepared(&job)) {
            Ok(checked) => prop_assert_eq!(checked, Ok(())),
            Err(error) => prop_assert!(false, "{:?}", error),
        }
    }

    #[test]
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a hundred steps at most")]
    fn the_lowest_flow_is_enough_and_half_a_kelvin_less_is_not(job in house(true)) {
        let (survey, loss) = heat_loss(&job);
        let bounds = (25.0, 80.0);
        let emitters::Sought { lowest, found: sought, below: half_less, .. } = emitters::lowest(asked(&survey, Tells::Duty, &Budget::unbounded()), &loss, bounds, &mut Off).unwrap();
        let then = at(&survey, &loss, lowest.flow_c).unwrap();
        let (set_aside, others): (Vec<Unmet>, Vec<Unmet>) =
            sought.unmet.iter().partition(|unmet| matches!(unmet, Unmet::SetAside { .. }));
        prop_assert!(Emitters { unmet: others, ..sought } == then, "what was found on the way is what is found there");
        // what does not set it is short at the hottest, but for bathrooms, and is told if it is short there
        let is_aside = |room| lowest.aside.iter().any(|aside| aside.room == room);
        let is_at_limit = |room| then.unmet.iter().any(|unmet| {
            unmet.room() == Some(room) && matches!(unmet, Unmet::FloorTooWeak { at_surface_limit: true, .. })
        });
        let not_carried: Vec<_> =
            then.not_carried().into_iter().filter(|(room, ..)| is_aside(*room) || is_at_limit(*room)).collect();
        prop_assert_eq!(set_aside.len(), not_carried.len());
        let is_met = |found: &Emitters| !found.unmet.iter().any(|unmet| lowest.counts(unmet));
        let sets_it = |room| !is_aside(room) && loss.rooms[room].design_heat_loss_w > 0.0 && !survey.rooms[room].emitters.is_empty();
        let is_set = lowest.aside.is_empty() || survey.rooms.indices().any(sets_it);
        prop_assert_eq!(lowest.carries, is_set && is_met(&then));
        let is_least = lowest.flow_c <= bounds.0 + 1e-9;
        let below = if lowest.carries { at(&survey, &loss, lowest.flow_c - STEP_K) } else { Some(then) };
        prop_assert!(half_less.is_none() || half_less == below);
        match (below, lowest.held_by) {
            (Some(below), Some(held_by)) => {
                let mut counted = below.unmet.iter().filter(|unmet| lowest.counts(unmet) || !is_set);
                prop_assert!(counted.all(|unmet| part(&held_by) <= part(unmet)));
                prop_assert!(below.unmet.contains(&held_by));
            }
            (_, None) => prop_assert!(is_least, "{:?}", lowest),
            (None, Some(_)) => prop_assert!(false, "half a kelvin less was looked at"),
        }
        // every step looked at, whole; a screed bears 55 °C
        let has_floors = survey.rooms.iter().flat_map(|room| &room.emitters).any(|emitter| emitter.floor().is_some());
        let most_c = if has_floors { 55.0 } else { bounds.1 };
        let mut steps = (0..=2 * (most_c - bounds.0) as u32).map(|step| bounds.0 + STEP_K * f64::from(step));
        let hottest = at(&survey, &loss, most_c).unwrap();
        let short = |room| hottest.unmet.iter().any(|unmet| unmet.room() == Some(room));
        prop_assert!(lowest.aside.iter().all(|aside| aside.why == AsideWhy::Bathroom || short(aside.room)));
        let one_by_one = steps.find(|flow_c| at(&survey, &loss, *flow_c).is_some_and(|found| is_met(&found)));
        prop_assert_eq!(lowest.carries, is_set && one_by_one.is_some());
        if let Some(flow_c) = one_by_one.filter(|_| is_set) {
            prop_assert_eq!(lowest.flow_c, flow_c);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_change_that_is_told_lowers_the_flow_as_it_says(job in house(true)) {
        let mut job = job;
        job["heating"]["flow_temperature"] = json!({"kind": "lowest", "least_c": 25, "most_c": 65});
        let told = |job: &Value| {
            let answer = proposal::flow_temperatures(&prepared(job), false).unwrap();
            serde_json::to_value(answer.flow_temperatures.lowest).unwrap()
        };
        let before = told(&job);
        let changes = before["next_changes"].as_array().unwrap();
        let rows = before["set_aside"].as_array().unwrap();
        let aside: Vec<&Value> = rows.iter().map(|row| &row["values"]["room"]).collect();
        let lowering = changes.iter().filter(|change| change["gain_k"] != 0.0 || !aside.contains(&&change["steps"][0]["room"]));
        let is_held = before.get("held_by").is_some() && before.get("blocked_by").is_none();
        prop_assert_eq!(lowering.count() > 0, is_held, "{}", before);
        for change in changes {
            let mut changed = job.clone();
            change["steps"].as_array().unwrap().iter().for_each(|step| make(&mut changed, step));
            prop_assert_eq!(&told(&changed)["flow_temperature_c"], &change["flow_temperature_c"], "{}", change);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    /// What an emitter can at the nominal drop decides what is taken and how warm the water is; what it is set to does not.
    #[test]
    fn flow_temperature_emitters_and_source_do_not_hang_on_what_emitters_are_set_to(job in house(true)) {
        let mut both = Vec::new();
        for rule in ["by_drop", "by_load"] {
            let mut job = job.clone();
            job["heating"]["flow_rule"] = json!(rule);
            let (survey, loss) = heat_loss(&job);
            let budget = Budget::unbounded();
            let Ok(found) = emitters::compute(asked(&survey, Tells::Duty, &budget), &loss, &mut Off) else { return Ok(()) };
            let source = source::compute(&survey, &loss, &found, &mut Off).unwrap();
            let each: Vec<_> = found
                .each()
                .map(|(_, one)| {
                    let loops = found.floors().map(|(_, floor, _)| floor.loop_count()).sum::<u32>();
                    (one.kind.product(), one.load_w.to_bits(), one.capacity_w.to_bits(), one.at_load.output_w.to_bits(), loops)
                })
                .collect();
            let unmet: Vec<_> = found.unmet.iter().filter(|unmet| !unmet.is_too_warm()).copied().collect();
            both.push((found.flow_c, each, unmet, source));
        }
        prop_assert_eq!(&both[0], &both[1]);
    }
}
