//! Random houses: rooms in a row, each with surfaces of every kind, as job documents.

use proptest::prelude::*;
use serde_json::{Map, Value, json};
use std::sync::LazyLock;
use tundish::catalogue::Catalogue;
use tundish::design::heat_loss::{self, HeatLoss};
use tundish::design::stage::{Asked, Stage as _, Tells};
use tundish::intake::Gate;
use tundish::job::Job;
use tundish::methods::{Budget, Off};
use tundish::proposal::{self, Prepared};
use tundish::survey::Survey;

static GATE: LazyLock<Gate> = LazyLock::new(|| Gate::for_type::<Job>().unwrap());

/// A job that must be whole, made ready.
pub fn prepared(job: &Value) -> Prepared {
    let text = job.to_string();
    proposal::read(&GATE, &Catalogue::try_built_in().unwrap(), text.as_bytes(), proposal::Needs::Design)
        .unwrap_or_else(|error| panic!("{error:?} in {text}"))
}

/// The heat loss of a job that must be computable, with what it was computed from.
pub fn heat_loss(job: &Value) -> (Survey, HeatLoss) {
    let prepared = prepared(job);
    let loss = heat_loss::compute(&prepared.survey, &mut Off).unwrap();
    assert_eq!(loss.check(&prepared.survey, ()), Ok(()), "{job}");
    (prepared.survey, loss)
}

/// What stages are asked for.
pub fn asked<'s>(survey: &'s Survey, tells: Tells, budget: &'s Budget) -> Asked<'s> {
    Asked { survey, tells, budget, known: None }
}

/// Index of a room by its id.
pub fn room(survey: &Survey, id: &str) -> tundish::list::Index<tundish::survey::Room> {
    survey.names.rooms.position(|name| name == id).unwrap()
}

fn faces() -> impl Strategy<Value = Value> {
    prop_oneof![
        3 => Just(json!({"kind": "outside"})),
        1 => Just(json!({"kind": "ground"})),
        1 => Just(json!({"kind": "adjoining_dwelling"})),
        1 => (0.0..=1.0_f64).prop_map(|factor| json!({"kind": "unheated", "factor": factor})),
        1 => (-5.0..40.0_f64).prop_map(|temperature_c| json!({"kind": "temperature", "temperature_c": temperature_c})),
    ]
}

prop_compose! {
    fn surface()(
        part in prop::sample::select(vec!["wall", "roof", "ceiling", "floor"]),
        construction in 0..4_u8,
        area_m2 in 0.5..60.0_f64,
        opening in prop::option::of((0..4_u8, 0.05..0.9_f64)),
        faces in faces(),
    ) -> Value {
        let mut surface = json!({
            "part": part, "construction": format!("c{construction}"), "area_m2": area_m2, "faces": faces
        });
        // windows and doors stand between air and air
        if let Some((construction, share)) = opening.filter(|_| faces["kind"] != "ground") {
            surface["openings"] = json!({"hole": {"construction": format!("c{construction}"), "area_m2": area_m2 * share}});
        }
        surface
    }
}

prop_compose! {
    fn one_room()(
        inside_c in 15.0..24.0_f64,
        floor_area_m2 in 2.0..60.0_f64,
        height_m in 2.0..6.0_f64,
        air_changes in 0.0..3.0_f64,
        supply_m3_h in 0.0..60.0_f64,
        extract_m3_h in 0.0..60.0_f64,
        surfaces in prop::collection::vec(surface(), 1..6),
    ) -> Value {
        let surfaces: Map<String, Value> =
            surfaces.into_iter().enumerate().map(|(i, surface)| (format!("s{i}"), surface)).collect();
        json!({
            "use": "living", "floor_area_m2": floor_area_m2, "height_m": height_m, "inside_design_c": inside_c,
            "air_changes_per_h": air_changes, "supply_m3_h": supply_m3_h, "extract_m3_h": extract_m3_h,
            "surfaces": surfaces
        })
    }
}

fn bridging() -> impl Strategy<Value = Value> {
    prop_oneof![
        (0.0..0.3_f64).prop_map(|x| json!({"kind": "allowance", "allowance_w_m2k": x})),
        (0.0..40.0_f64).prop_map(|x| json!({"kind": "coefficient", "coefficient_w_k": x})),
        (1.0..90.0_f64, -0.1..0.5_f64).prop_map(|(length_m, psi_w_mk)| {
            json!({"kind": "junctions", "junctions": {"all": {"length_m": length_m, "psi_w_mk": psi_w_mk}}})
        }),
    ]
}

fn ventilation() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(json!({"kind": "air_changes"})),
        (0.0..=1.0_f64, 0.0..0.5_f64).prop_map(|(efficiency, infiltration)| json!({
            "kind": "mechanical", "heat_recovery_efficiency": efficiency, "infiltration_air_changes_per_h": infiltration
        })),
    ]
}

prop_compose! {
    /// A house of one to six rooms. Each room declares a partition to the next, and its first surface faces outside,
    /// so that the dwelling's thermal bridges have something to be shared out over.
    pub fn house()(
        outside_c in -15.0..5.0_f64,
        annual_mean_c in 6.0..12.0_f64,
        u_values in prop::array::uniform4(0.1..5.0_f64),
        adjoining in prop_oneof![Just(json!({"kind": "mean"})), (5.0..20.0_f64).prop_map(|t| json!({"kind": "fixed", "temperature_c": t}))],
        bridging in bridging(),
        ventilation in ventilation(),
        rooms in prop::collection::vec((one_room(), 0..4_u8, 1.0..20.0_f64), 1..7),
    ) -> Value {
        let count = rooms.len();
        let rooms: Map<String, Value> = rooms
            .into_iter()
            .enumerate()
            .map(|(i, (mut room, construction, area_m2))| {
                room["surfaces"]["s0"]["faces"] = json!({"kind": "outside"});
                if i + 1 < count {
                    room["surfaces"]["next"] = json!({
                        "part": "wall", "construction": format!("c{construction}"), "area_m2": area_m2,
                        "faces": {"kind": "room", "room": format!("r{}", i + 1)}
                    });
                }
                (format!("r{i}"), room)
            })
            .collect();
        let constructions: Map<String, Value> = u_values
            .iter()
            .enumerate()
            .map(|(i, u)| (format!("c{i}"), json!({"kind": "known", "u_value_w_m2k": u})))
            .collect();
        json!({
            "schema": 1,
            "site": {"nation": "england",
                "climate": {"kind": "given", "outside_design_c": outside_c, "annual_mean_outside_c": annual_mean_c}},
            "dwelling": {"ventilation": ventilation, "thermal_bridging": bridging, "adjoining": adjoining,
                "air_heat_wh_m3k": 0.34},
            "constructions": constructions,
            "rooms": rooms
        })
    }
}

prop_compose! {
    /// The same, with elements from their parts, a loft by its own balance, and air that leaks.
    pub fn built_house()(
        mut job in house(),
        wool_mm in 10.0..300.0_f64,
        studs in 0.01..0.4_f64,
        glazing in 0.5..3.0_f64,
        loft_m2 in 5.0..90.0_f64,
        loft_air in 0.0..5.0_f64,
        q50 in 0.0..15.0_f64,
        supply in prop::option::of(0.0..=1.0_f64),
        shielding in prop::sample::select(vec!["none", "moderate", "heavy"]),
    ) -> Value {
        job["constructions"]["c1"] = json!({"kind": "layered", "layers": [
            {"kind": "conductivity", "thickness_mm": 100, "conductivity_w_mk": 0.8},
            {"kind": "air", "thickness_mm": 50},
            {"kind": "conductivity", "thickness_mm": wool_mm, "conductivity_w_mk": 0.04,
             "bridged_by": {"kind": "conductivity", "fraction": studs, "conductivity_w_mk": 0.13}}
        ]});
        job["constructions"]["c2"] = json!({"kind": "window", "glazing_u_value_w_m2k": glazing, "frame_u_value_w_m2k": 1.5,
            "spacer_psi_w_mk": 0.06, "measures": {"kind": "share", "frame_share": 0.3, "width_mm": 1000, "height_mm": 1200}});
        job["unheated_spaces"] = json!({"loft": {"volume_m3": loft_m2 * 1.2, "air_changes_per_h": loft_air, "surfaces": {
            "tiles": {"part": "roof", "construction": "c0", "area_m2": loft_m2 * 1.3}
        }}});
        let leaks = json!({"q50_m3_h_m2": q50, "shielding": shielding});
        job["dwelling"]["ventilation"] = match supply {
            None => json!({"kind": "air_permeability", "q50_m3_h_m2": q50, "shielding": shielding}),
            Some(efficiency) => json!({"kind": "mechanical", "heat_recovery_efficiency": efficiency, "leakage": leaks}),
        };
        for room in job["rooms"].as_object_mut().unwrap().values_mut() {
            for surface in room["surfaces"].as_object_mut().unwrap().values_mut() {
                if matches!(surface["faces"]["kind"].as_str(), Some("ground" | "unheated")) {
                    surface["faces"] = json!({"kind": "unheated_space", "space": "loft"});
                }
            }
        }
        job
    }
}
