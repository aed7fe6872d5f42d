//! Workings followed to their end: the last equation of every pointer gives the figure that it points at, and every figure of the
//! design has equations, but for those that are listed here with their reasons.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Value, json};

use super::floor_job;
use super::helpers::{fixture, published, rooms_of, shared_service, study, unit_of};
use super::open_water::{SEMI, house};
use super::openapi::UNITS;

/// Half a unit in the seventh digit, twice: result and figure are both printed with seven.
const PRINTED: f64 = 1.01e-6;

/// The design endpoints that show workings.
const ENDPOINTS: [&str; 4] = ["heat-loss", "emitters", "pipework", "plant"];

/// The houses of the fixtures.
fn fixtures() -> Vec<(String, Value)> {
    let jobs = ["bungalow", "chapel", "farmhouse", "terrace"].map(|name| (name.to_owned(), fixture(name)));
    jobs.into_iter().chain([("hand_house".to_owned(), published("hand_house"))]).collect()
}

/// The same with what none of them has: other rules of flow, mean and temperature, colder and hotter water, glycol, cooling, leaks.
fn changed_fixtures() -> Vec<(String, Value)> {
    let fixed = |flow_c: f64| json!({"kind": "fixed", "flow_temperature_c": flow_c});
    let glycol = json!({"kind": "glycol", "substance": "propylene", "fraction": 0.3});
    let changes = [
        ("/heating", "flow_rule", json!("by_load")),
        ("/heating", "radiator_mean", json!("arithmetic")),
        ("/heating", "fluid", glycol),
        ("/heating", "flow_temperature", fixed(55.0)),
        ("/heating", "flow_temperature", fixed(31.0)),
        ("/heating", "flow_temperature", json!({"kind": "lowest"})),
        ("", "cooling", json!({"flow_temperature_c": 18, "rise_k": 3})),
        ("/dwelling", "ventilation", json!({"kind": "air_permeability", "q50_m3_h_m2": 6})),
    ];
    let mut all = Vec::new();
    for (name, job) in fixtures() {
        // the terrace has no floor that could cool it
        for (place, member, value) in changes.iter().filter(|(_, member, _)| name != "terrace" || *member != "cooling")
        {
            let mut changed = job.clone();
            changed.pointer_mut(place).unwrap()[member] = value.clone();
            if *member == "fluid" {
                // valves that let the water out and antifreeze are never fitted together
                changed["pipework"].as_object_mut().unwrap().remove("freeze_protection");
            }
            if *member == "ventilation" {
                changed["rooms"].as_object_mut().unwrap().values_mut().for_each(|room| {
                    let room = room.as_object_mut().unwrap();
                    for name in ["air_changes_per_h", "supply_m3_h", "extract_m3_h", "transfers"] {
                        room.remove(name);
                    }
                });
            }
            all.push((format!("{name} with {member} {value}"), changed));
        }
    }
    all
}

/// Small jobs with what no fixture has: edge zones, lines through another room, floors that share what lies below, an unheated
/// space, an open flue, warming up, a door that heats, a bypass, a vessel and a separation.
fn small_jobs() -> Vec<(String, Value)> {
    let mut all = Vec::new();
    for design_on in ["standard", "conduction", "lower"] {
        for flow_rule in ["by_load", "by_drop"] {
            let mut job = floor_job::job(&json!({"edge_area_m2": 4, "design_on": {"kind": design_on}}));
            job["heating"]["flow_rule"] = json!(flow_rule);
            all.push((format!("an edge zone on {design_on} {flow_rule}"), job.clone()));
            job["rooms"]["room"]["emitters"]["floor"]["edge_area_m2"] = json!(0);
            all.push((format!("a floor on {design_on} {flow_rule}"), job.clone()));
            job["rooms"]["hall"] = json!({"use": "hall", "floor_area_m2": 5, "height_m": 2.4, "inside_design_c": 19,
                "air_changes_per_h": 1, "surfaces": {}});
            job["rooms"]["room"]["emitters"]["floor"]["tail_m"] = json!(9);
            job["rooms"]["room"]["emitters"]["floor"]["passes_through"] = json!({"hall": {"length_m": 6}});
            all.push((format!("lines on {design_on} {flow_rule}"), job));
        }
    }
    let mut parted = floor_job::job(&json!({}));
    parted["rooms"]["room"]["surfaces"]["floor"]["area_m2"] = json!(8);
    parted["rooms"]["room"]["surfaces"]["colder"] = json!({"part": "floor", "construction": "floor", "area_m2": 6,
        "faces": {"kind": "temperature", "temperature_c": 2}});
    all.push(("two things below a floor".to_owned(), parted));
    let mut space = study();
    space["constructions"]["deck"] = json!({"kind": "known", "u_value_w_m2k": 0.5});
    space["unheated_spaces"] = json!({"cellar": {"volume_m3": 40, "air_changes_per_h": 0.3, "surfaces": {
        "outer": {"part": "wall", "construction": "deck", "area_m2": 30},
        "base": {"part": "floor", "construction": "deck", "area_m2": 12, "faces": {"kind": "ground"}},
        "other": {"part": "wall", "construction": "deck", "area_m2": 8, "faces": {"kind": "temperature", "temperature_c": 12}}
    }}});
    space["rooms"]["study"]["surfaces"]["under"] = json!({"part": "floor", "construction": "deck", "area_m2": 12,
        "faces": {"kind": "unheated_space", "space": "cellar"}});
    space["rooms"]["study"]["reheat"] = json!({"within_h": 2, "drop_k": 2});
    all.push(("an unheated space".to_owned(), space));
    let radiator = json!({"rad": {"kind": "radiator"}});
    let mut door = rooms_of(&[(900.0, 12.0, radiator), (120.0, 4.0, json!({}))]);
    door["rooms"]["r1"]["heated_from"] = json!("r0");
    for wall_m2 in [5.0, 25.0] {
        door["rooms"]["r1"]["surfaces"]["wall"]["area_m2"] = json!(wall_m2);
        all.push((format!("a door beside {wall_m2} m² of wall"), door.clone()));
    }
    for (least_l_h, water_l) in [(1400, 20.0), (1400, 60.0), (3200, 20.0), (300, 90.0)] {
        let mut job = house(&SEMI, &json!({"minimum_flow_l_h": least_l_h, "minimum_water_l": water_l}));
        job["pipework"]["primary"] = json!({"length_m": 20, "place": "plant_room", "existing_tube": "cu_28"});
        job["plant"] = unit_of(9.0, &json!({"minimum_flow_l_h": least_l_h, "minimum_water_l": water_l}));
        all.push((format!("{least_l_h} l/h and {water_l} l wanted"), job));
    }
    all
}

/// A pointer with every index left open.
fn pattern(pointer: &str) -> String {
    let open = pointer.split('/').map(|part| if part.parse::<usize>().is_ok() { "#" } else { part });
    open.collect::<Vec<_>>().join("/")
}

/// The unit that a name ends in; none where it ends in no unit.
fn unit(name: &str) -> &'static str {
    UNITS.into_iter().filter(|unit| name.ends_with(unit)).max_by_key(|unit| unit.len()).unwrap_or("")
}

fn same(found: f64, expected: f64) -> bool {
    (found - expected).abs() <= PRINTED * found.abs().max(expected.abs())
}

/// The equations of an answer by the figure that they point at, in their order.
fn by_figure(answer: &Value) -> BTreeMap<&str, Vec<&Value>> {
    let mut all: BTreeMap<&str, Vec<&Value>> = BTreeMap::new();
    for working in answer["workings"].as_array().unwrap() {
        all.entry(working["figure"].as_str().unwrap()).or_default().push(working);
    }
    all
}

/// What is wrong with the end of the equations of one figure, if anything.
fn wrong_end(answer: &Value, pointer: &str, workings: &[&Value]) -> Option<String> {
    let Some(figure) = answer.pointer(pointer) else { return Some("it points at nothing".to_owned()) };
    let Some(figure) = figure.as_f64() else { return Some(format!("it points at no figure: {figure}")) };
    let last = workings.last().unwrap();
    let (name, result) = (last["name"].as_str().unwrap(), last["result"].as_f64().unwrap());
    let member = pointer.rsplit('/').next().unwrap();
    if unit(name) != unit(member) {
        return Some(format!("{name} = {result} ends in another unit"));
    }
    (!same(result, figure)).then(|| format!("{name} = {result} where the answer has {figure}"))
}

/// Every figure that its equations do not lead to, by member, with how many of how many and the first.
#[derive(Default)]
struct Ends(BTreeMap<String, (usize, usize, String)>);

impl Ends {
    fn look(&mut self, job: &str, answer: &Value) {
        for (pointer, workings) in by_figure(answer) {
            let member = self.0.entry(pattern(pointer)).or_default();
            member.1 += 1;
            if let Some(wrong) = wrong_end(answer, pointer, &workings) {
                member.0 += 1;
                if member.0 == 1 {
                    member.2 = format!("{job} {pointer}: {wrong}");
                }
            }
        }
    }

    fn hold(&self) {
        let looked_at: usize = self.0.values().map(|(_, of, _)| of).sum();
        println!("{looked_at} pointers to {} members", self.0.len());
        let wrong = self.0.iter().filter(|(_, (wrong, ..))| *wrong > 0);
        let wrong: Vec<String> =
            wrong.map(|(member, (wrong, of, first))| format!("{wrong} of {of} {member}: {first}")).collect();
        assert!(wrong.is_empty(), "equations that stop short of their figures:\n{}", wrong.join("\n"));
        assert!(looked_at > 1000, "the workings were not found");
    }
}

/// Every pointer of every fixture, as each stage answers and all at once.
#[tokio::test]
async fn the_last_equation_of_every_figure_gives_it() {
    let service = shared_service();
    let mut ends = Ends::default();
    for (name, job) in fixtures() {
        for endpoint in ENDPOINTS.iter().chain(&["proposal"]) {
            let answer = service.answer(&format!("/v1/{endpoint}?workings=true"), &job).await;
            ends.look(&name, &answer);
        }
    }
    ends.hold();
}

/// The same of jobs with what no fixture has.
#[tokio::test]
async fn the_last_equation_gives_the_figure_whatever_the_job_asks_for() {
    let service = shared_service();
    let mut ends = Ends::default();
    for (name, job) in changed_fixtures().into_iter().chain(small_jobs()) {
        for endpoint in ENDPOINTS {
            if job.get("heating").is_none() && endpoint != "heat-loss" {
                continue;
            }
            let response = service.post(&format!("/v1/{endpoint}?workings=true"), &job).await;
            let status = response.status();
            let answer: Value = response.json().await.unwrap();
            assert_eq!(status, 200, "{name}: {answer}");
            ends.look(&name, &answer);
        }
    }
    ends.hold();
}

/// Workings are told and never change what is told.
#[tokio::test]
async fn an_answer_with_workings_is_the_answer_without_them() {
    let service = shared_service();
    for (name, job) in fixtures() {
        for endpoint in ENDPOINTS.iter().chain(&["proposal"]) {
            let plain = service.answer(&format!("/v1/{endpoint}"), &job).await;
            let mut shown = service.answer(&format!("/v1/{endpoint}?workings=true"), &job).await;
            shown.as_object_mut().unwrap().remove("workings");
            assert_eq!(shown, plain, "{name} {endpoint}");
        }
    }
}

/// Figures of the design without equations of their own, each with its reason. A star stands for all below.
const NOT_SHOWN: &[(&str, &str)] = &[
    ("/heat_loss/annual_mean_outside_c", "of the site's climate: given, or of its table"),
    ("/heat_loss/rooms/#/elements/#/area_m2", "as the job has it, less its openings"),
    ("/heat_loss/rooms/#/elements/#/u_value_w_m2k", "told at its construction"),
    ("/heat_loss/rooms/#/floor_area_m2", "as the job has it"),
    ("/heat_loss/rooms/#/inside_design_c", "as the job has it, or of the table of uses"),
    ("/heat_loss/rooms/#/left_to_heated_floor_m2", "an area of the job; its watts are told with the emitter"),
    ("/emitters/drop_k", "as the job has it"),
    ("/emitters/flow_temperature_c", "as the job has it, or found by a search for the lowest that carries every room"),
    ("/emitters/held_by/*", "a need half a kelvin below the lowest flow temperature, told as it would be unmet there"),
    ("/emitters/neediest_floor/flow_temperature_c", "told again of the floor, found by a search"),
    ("/emitters/rooms/#/emitters/#/area_m2", "as the job has it"),
    (
        "/emitters/rooms/#/emitters/#/factor",
        "1 in every fixture: nothing of connection, finish and enclosure is told there",
    ),
    ("/emitters/rooms/#/emitters/#/fan/air_m3_h", "of the product's data at the speed told"),
    ("/emitters/rooms/#/emitters/#/fan/run", "1, for the fan turns all the time at any speed but its slowest"),
    ("/emitters/rooms/#/emitters/#/fan/sound_db", "of the product's data at the speed told"),
    ("/emitters/rooms/#/emitters/#/fan/speed", "a count: the slowest speed that is enough"),
    (
        "/emitters/rooms/#/emitters/#/floor/cooling/floor_surface_lowest_c",
        "a temperature of the field that was solved for its section",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/flow_temperature_least_c",
        "found by a search: the flow temperature at which capacity_w is the load",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/flow_temperature_least_if_closest_c",
        "found by the same search at the closest spacing",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/greatest_covering/*",
        "found by a search: the covering under which capacity_w is the load",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/greatest_timber_covering/*",
        "found by the same search under a lower surface limit",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/output_under_worst_covering_w",
        "capacity_w once more, under another covering",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/occupied_zone/by_conduction/*",
        "of the field that was solved for its section; no equation of a line gives it",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/occupied_zone/by_standard/output_w_m2k",
        "KH, told on the way to capacity_w of the emitter",
    ),
    ("/emitters/rooms/#/emitters/#/floor/occupied_zone/area_m2", "as the job has it"),
    ("/emitters/rooms/#/emitters/#/floor/occupied_zone/spacing_mm", "chosen from those that the job allows"),
    (
        "/emitters/rooms/#/emitters/#/floor/occupied_zone/capacity_w",
        "of a floor that is one zone, told at the emitter's own member",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/occupied_zone/downward_w",
        "of a floor that is one zone, told at the emitter's own member",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/occupied_zone/excess_k",
        "of a floor that is one zone, told at the emitter's own member",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/occupied_zone/floor_surface_c",
        "of a floor that is one zone, told at the emitter's own member",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/occupied_zone/flow_l_h",
        "of a floor that is one zone, told at the emitter's own member",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/occupied_zone/limit_w_m2",
        "of a floor that is one zone, told at the emitter's own member",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/occupied_zone/loop_length_m",
        "of a floor that is one zone, told at the emitter's own member",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/occupied_zone/output_w_m2",
        "of a floor that is one zone, told at the emitter's own member",
    ),
    (
        "/emitters/rooms/#/emitters/#/floor/occupied_zone/return_temperature_c",
        "of a floor that is one zone, told at the emitter's own member",
    ),
    (
        "/emitters/rooms/#/emitters/#/share",
        "the load over what the room's emitters carry; found by the order in which they take it",
    ),
    ("/emitters/rooms/#/emitters/#/spacing_mm", "chosen from those that the job allows"),
    ("/emitters/rooms/#/emitters/#/water_l", "of the product's data"),
    ("/pipework/arrangement/bypass_kv_m3_h", "found with the tree of what stays open"),
    ("/pipework/arrangement/maximum_flow_l_h", "of the product's data"),
    ("/pipework/arrangement/minimum_flow_l_h", "of the product's data"),
    ("/pipework/arrangement/open_flow_l_h", "of the tree of what stays open, solved as a whole on the pump's curve"),
    (
        "/pipework/arrangement/open_water_l",
        "water of what stays open, each part told in water_content_l of its run and of its floor",
    ),
    ("/pipework/arrangement/stays_open/*", "of the balance of a room that is not throttled, found by a search"),
    (
        "/pipework/arrangement/unit_flow_l_h",
        "the flow of the pump, or behind a separation the least that the heat source runs with",
    ),
    ("/pipework/arrangement/vessel_needed_l", "needed_water_l less what is there"),
    ("/pipework/arrangement/ways/*", "money, hours of the norms, and trees solved as a whole"),
    ("/pipework/balancing/#/loop", "a number that names the loop"),
    ("/pipework/balancing/#/position_kv_m3_h", "of the product's data"),
    ("/pipework/balancing/#/turns", "of the product's data"),
    ("/pipework/choice/*", "money, and heads of choices that were weighed; of the one that is laid every drop is told"),
    ("/pipework/coils/*", "a cutting list: lengths of loops and of coils, and numbers that name them"),
    ("/pipework/cooling_circuit/pump_head_kpa", "read from the pump's curve"),
    ("/pipework/hidden_tubes/*", "bores and lengths that a search finds to explain readings"),
    ("/pipework/hot_water_circuit/own_head_kpa", "read from the pump's curve"),
    (
        "/pipework/hot_water_circuit/primary_pressure_drop_pa",
        "the drop of the primary at the flow of hot water, by the law that is told for its own flow",
    ),
    ("/pipework/hot_water_circuit/section/insulation_mm", "of the product's data, or usual in the place"),
    ("/pipework/hot_water_circuit/section/length_m", "as the job has it, or estimated as its note tells"),
    ("/pipework/hot_water_circuit/section/narrower/velocity_m_s", "of a tube that was not taken"),
    ("/pipework/hot_water_circuit/section/outdoor_m", "as the job has it"),
    ("/pipework/hot_water_circuit/section/outside_diameter_mm", "of the product's data"),
    ("/pipework/hot_water_circuit/section/velocity_max_m_s", "a limit of place and material"),
    ("/pipework/primary/insulation_mm", "of the product's data, or usual in the place"),
    ("/pipework/primary/length_m", "as the job has it, or estimated as its note tells"),
    ("/pipework/primary/narrower/velocity_m_s", "of a tube that was not taken"),
    ("/pipework/primary/outdoor_m", "as the job has it"),
    ("/pipework/primary/outside_diameter_mm", "of the product's data"),
    ("/pipework/primary/velocity_max_m_s", "a limit of place and material"),
    ("/pipework/sections/#/insulation_mm", "of the product's data, or usual in the place"),
    ("/pipework/sections/#/length_m", "as the job has it, or estimated as its note tells"),
    ("/pipework/sections/#/narrower/velocity_m_s", "of a tube that was not taken"),
    ("/pipework/sections/#/outdoor_m", "as the job has it"),
    ("/pipework/sections/#/outside_diameter_mm", "of the product's data"),
    ("/pipework/sections/#/velocity_max_m_s", "a limit of place and material"),
    ("/pipework/primary/outdoor_insulation_mm", "of the product's data, or usual in the place"),
    (
        "/pipework/sections/#/existing_tube/carries_w",
        "heat at the greatest velocity that the place allows, for comparison",
    ),
    ("/pipework/sections/#/joists/*", "limits of the guidance on joists, told in whole millimetres"),
    ("/pipework/index_loop/number", "a number that names a loop"),
    ("/plant/cylinder/disinfection/every_days", "common practice"),
    ("/plant/cylinder/disinfection/held_h", "common practice"),
    ("/plant/cylinder/disinfection/to_c", "common practice"),
    ("/plant/cylinder/storage_temperature_c", "as the job has it"),
    ("/plant/cylinder/volume_l", "of the product's data"),
    ("/plant/expansion_vessel/highest_temperature_c", "the hotter of two flow temperatures of the job"),
    ("/plant/water_content/buffer_vessel_l", "of the product's data"),
    ("/plant/water_content/cylinder_coil_l", "of the product's data"),
    ("/plant/water_content/heat_source_l", "of the product's data"),
];

/// Figures of which some have equations and some have not, each with the reason of those that have not.
const SHOWN_WHERE: &[(&str, &str)] = &[
    (
        "/heat_loss/constructions/#/u_value_w_m2k",
        "given by the job or read from a table where it is not made up of layers",
    ),
    ("/heat_loss/outside_design_c", "given by the job where no height is corrected for"),
    ("/heat_loss/rooms/#/elements/#/thermal_bridging_w", "nothing where bridges are not counted element by element"),
    ("/heat_loss/rooms/#/to_rooms_w", "nothing where no neighbour is another room"),
    ("/emitters/downward_w", "nothing where no floor is heated"),
    ("/emitters/rooms/#/emitters/#/loops/#/flow_l_min", "the loops of a zone are alike: the first is told"),
    ("/emitters/rooms/#/emitters/#/loops/#/length_m", "the loops of a zone are alike: the first is told"),
    ("/emitters/rooms/#/emitters/#/loops/#/pressure_drop_kpa", "the loops of a zone are alike: the first is told"),
    ("/emitters/rooms/#/emitters/#/loops/#/to_throttle_kpa", "the loops of a zone are alike: the first is told"),
    ("/pipework/sections/#/gradient_pa_m", "a tube that nobody can see is known by its readings alone"),
    ("/pipework/sections/#/heat_loss_w", "a tube that nobody can see is known by its readings alone"),
    ("/pipework/sections/#/pressure_drop_pa", "a tube that nobody can see is known by its readings alone"),
    ("/pipework/sections/#/reynolds", "a tube that nobody can see is known by its readings alone"),
    ("/pipework/sections/#/velocity_m_s", "a tube that nobody can see is known by its readings alone"),
    ("/pipework/sections/#/water_content_l", "a tube that nobody can see is known by its readings alone"),
    ("/pipework/sections/#/zeta", "a tube that nobody can see is known by its readings alone"),
    ("/plant/heat_source/hot_water_pipe_loss_w", "nothing where no pipe lies outside the heated rooms"),
    ("/plant/heat_source/pipe_loss_w", "nothing where no pipe lies outside the heated rooms"),
    ("/plant/water_content/circuits_l", "nothing where there is none of them"),
    ("/plant/water_content/loops_l", "nothing where there is none of them"),
    ("/plant/water_content/manifolds_l", "nothing where there is none of them"),
    ("/plant/water_content/radiators_l", "nothing where there is none of them"),
];

/// Every number below a member with its pointer.
fn figures(value: &Value, pointer: &str, all: &mut Vec<(String, f64)>) {
    match value {
        Value::Number(number) => all.push((pointer.to_owned(), number.as_f64().unwrap())),
        Value::Array(rows) => {
            for (index, row) in rows.iter().enumerate() {
                figures(row, &format!("{pointer}/{index}"), all);
            }
        }
        Value::Object(members) => {
            for (name, member) in members {
                figures(member, &format!("{pointer}/{name}"), all);
            }
        }
        Value::Null | Value::Bool(_) | Value::String(_) => {}
    }
}

/// Whether a figure has equations: its own, or one of its name on the way to another figure of its row.
fn is_shown(workings: &BTreeMap<&str, Vec<&Value>>, pointer: &str, figure: f64) -> bool {
    let (row, member) = pointer.rsplit_once('/').unwrap();
    let on_the_way = |working: &&Value| working["name"] == member && same(working["result"].as_f64().unwrap(), figure);
    let beside = workings.iter().filter(|(other, _)| other.rsplit_once('/').is_some_and(|(of, _)| of == row));
    workings.contains_key(pointer) || beside.flat_map(|(_, all)| all).any(on_the_way)
}

/// Whether a list has a member, and by which entry.
fn listed(list: &[(&'static str, &str)], member: &str) -> Option<&'static str> {
    list.iter().map(|(entry, _)| *entry).find(|entry| match entry.strip_suffix('*') {
        Some(above) => member.starts_with(above),
        None => *entry == member,
    })
}

/// Every figure of heat loss, emitters, pipework and plant of the fixtures has equations, or stands on a list with its reason; and
/// no entry of a list stands there in vain.
#[tokio::test]
async fn every_figure_of_the_design_has_equations_or_a_reason_why_not() {
    let service = shared_service();
    let mut members: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    for (_, job) in fixtures() {
        let answer = service.answer("/v1/proposal?workings=true", &job).await;
        let workings = by_figure(&answer);
        for stage in ["heat_loss", "emitters", "pipework", "plant"] {
            let mut all = Vec::new();
            figures(&answer[stage], &format!("/{stage}"), &mut all);
            for (pointer, figure) in all {
                let member = members.entry(pattern(&pointer)).or_default();
                member.0 += usize::from(is_shown(&workings, &pointer, figure));
                member.1 += 1;
            }
        }
    }
    let (mut wrong, mut used) = (Vec::new(), BTreeSet::new());
    for (member, &(shown, of)) in &members {
        let (without, partly) = (listed(NOT_SHOWN, member), listed(SHOWN_WHERE, member));
        used.extend(without.into_iter().chain(partly));
        let is_right = match (without.is_some(), partly.is_some()) {
            (false, false) => shown == of,
            (true, false) => shown == 0,
            (false, true) => 0 < shown && shown < of,
            (true, true) => false,
        };
        if !is_right {
            wrong.push(format!("{shown} of {of} {member}, listed as {without:?} and {partly:?}"));
        }
    }
    let shown = members.values().filter(|(shown, of)| shown == of).count();
    println!("{shown} of {} members are shown wherever they stand, {} in part", members.len(), SHOWN_WHERE.len());
    assert!(wrong.is_empty(), "figures without equations, or listed though they have some:\n{}", wrong.join("\n"));
    let entries = NOT_SHOWN.iter().chain(SHOWN_WHERE);
    let vain: Vec<_> = entries.filter(|(entry, _)| !used.contains(entry)).collect();
    assert!(vain.is_empty(), "listed and not there: {vain:?}");
    assert!(NOT_SHOWN.iter().chain(SHOWN_WHERE).all(|(_, reason)| reason.len() > 10));
}
