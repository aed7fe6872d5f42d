//! The hand-worked house over HTTP: every figure of its page that an answer holds, section by section.
//!
//! The figures are those of the page alone. They stand in `fixtures/published/hand_house_figures.json` and in
//! `hand_house_elements.csv` and `hand_house_rooms.csv`, by the names of the answer. The tolerances stand here, as the
//! page prints them beside the figures; why each is as wide as it is, is said here.

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::{Value, json};

use super::helpers::{published, shared_service};

/// How near a figure must come.
#[derive(Clone, Copy)]
enum Within {
    /// The same value: money and counts.
    Equal,
    /// A share of the expected figure.
    Share(f64),
    /// A difference of temperature.
    Kelvin(f64),
}

/// Where the page prints no tolerance: binary floating-point arithmetic, seven digits printed.
const ARITHMETIC: Within = Within::Share(1e-5);
/// Section 2, slab, elements, rooms and dwelling, and the loads that emitters take from them: 0.01 %, which covers the
/// rounding of the printed U-value of the slab.
const HEAT_LOSS: Within = Within::Share(1e-4);
/// Sections 3 and 4, returns: 0.01 K, for they are found by iteration from a load that is itself held to 0.01 %.
const RETURN: Within = Within::Kelvin(0.01);
/// Sections 3, 4 and 6: 0.1 %, by which the temperature that water is read at moves a flow.
const FLOW: Within = Within::Share(1e-3);
/// Section 4, factors, characteristic, limit and the excess read from them: 0.01 %, for five or six digits are printed.
const FACTORS: Within = Within::Share(1e-4);
/// Section 4: 0.001 K, for five decimals are printed.
const SURFACE: Within = Within::Kelvin(0.001);
/// Section 4, heat downward: 0.05 %, for it hangs on the digits of the U-value below.
const DOWNWARD: Within = Within::Share(5e-4);
/// Section 4, friction of a loop, and section 6, circuits from their rows: 1 %, for another water moves friction so.
const FRICTION: Within = Within::Share(1e-2);
/// Section 5, points of a heat source between its declared ones: 0.01 %, for five digits of a COP are printed.
const POINTS: Within = Within::Share(1e-4);
/// Section 6, gradients, and the drops of a run that they make: 0.1 %, at the same water (which is held too).
const GRADIENT: Within = Within::Share(1e-3);
/// Section 0, density: 0.05 %, specific heat 0.2 %, kinematic viscosity 1 %, for formulations of water differ so.
const DENSITY: Within = Within::Share(5e-4);
const SPECIFIC_HEAT: Within = Within::Share(2e-3);
const VISCOSITY: Within = Within::Share(1e-2);
/// Section 7, water content and its expansion: 0.5 %, as densities and volumes are rounded.
const WATER: Within = Within::Share(5e-3);
/// Section 7, size of the expansion vessel: 1 %, for it follows from content and expansion.
const VESSEL: Within = Within::Share(1e-2);

/// Whether a figure of an answer is the expected one; of `least` and `most` the page allows anything between.
fn agrees(found: &Value, expected: &Value, within: Within) -> bool {
    let figure = found.as_f64();
    match (figure, expected) {
        (Some(found), Value::Number(expected)) => {
            let expected = expected.as_f64().unwrap();
            let off = (found - expected).abs();
            match within {
                Within::Equal => figure == Some(expected),
                Within::Share(share) => off <= share * expected.abs(),
                Within::Kelvin(most) => off <= most,
            }
        }
        (Some(found), Value::Object(range)) => {
            (range["least"].as_f64().unwrap()..=range["most"].as_f64().unwrap()).contains(&found)
        }
        _ => found == expected,
    }
}

/// What the service answered to the house, and how many figures of it were held against the page.
struct Answer {
    body: Value,
    held: usize,
}

impl Answer {
    async fn to(endpoint: &str) -> Self {
        let target = format!("/v1/{endpoint}?workings=true");
        Self { body: shared_service().answer(&target, &published("hand_house")).await, held: 0 }
    }

    fn list(&self, list: &str) -> &[Value] {
        self.body.pointer(list).and_then(Value::as_array).unwrap_or_else(|| panic!("no list {list}"))
    }

    /// The pointer of the row of a list whose member `key` is `id`.
    fn place(&self, list: &str, key: &str, id: &str) -> String {
        let index = self.list(list).iter().position(|row| row[key] == id);
        format!("{list}/{}", index.unwrap_or_else(|| panic!("{list} has no {id}")))
    }

    /// Holds one place of the answer against a row of the page: `usual` unless a tolerance is printed for a figure.
    fn hold(&mut self, place: &str, row: &Value, usual: Within, printed: &[(&str, Within)]) {
        let within = |name: &str| printed.iter().find(|(of, _)| *of == name).map_or(usual, |(_, within)| *within);
        for (name, expected) in row.as_object().unwrap() {
            if name == "workings" {
                for working in expected.as_array().unwrap() {
                    self.hold_working(place, working, &within);
                }
                continue;
            }
            let found = self.body.pointer(&format!("{place}/{name}")).unwrap_or(&Value::Null);
            assert!(agrees(found, expected, within(name)), "{place}/{name}: {found} where the page has {expected}");
            self.held += 1;
        }
    }

    /// Holds a shown equation of a place or of its members by its result or by what went into it; one name may be
    /// shown twice.
    fn hold_working(&mut self, place: &str, working: &Value, within: &dyn Fn(&str) -> Within) {
        let figure = format!("{place}{}", working["at"].as_str().unwrap_or(""));
        let name = working["name"].as_str().unwrap();
        let values: Vec<_> = working["values"].as_object().into_iter().flatten().collect();
        let result = working.get("result");
        let belongs = |row: &Value| {
            let rest = row["figure"].as_str().unwrap().strip_prefix(&figure);
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
        };
        let mut shown = self.list("/workings").iter().filter(|row| belongs(row) && row["name"] == name);
        let same = |row: &Value| {
            result.is_none_or(|expected| agrees(&row["result"], expected, within(name)))
                && values.iter().all(|(of, expected)| agrees(&row["values"][of.as_str()], expected, within(of)))
        };
        assert!(shown.any(same), "{figure}: no working that agrees with {working}");
        self.held += values.len() + usize::from(result.is_some());
    }

    /// Holds a list of the answer against a table of the page by id; neither has a row that the other lacks.
    fn hold_rows(&mut self, list: &str, key: &str, table: &Value, usual: Within, printed: &[(&str, Within)]) {
        let table = table.as_object().unwrap();
        assert_eq!(self.list(list).len(), table.len(), "{list}");
        for (id, row) in table {
            self.hold(&self.place(list, key, id), row, usual, printed);
        }
    }

    fn tell(&self) {
        assert!(self.held > 0);
        println!("{} figures held", self.held);
    }
}

fn figures() -> Value {
    published("hand_house_figures")
}

/// The rows of a table of section 2, their texts apart from their figures.
fn rows(name: &str) -> Vec<(BTreeMap<String, String>, Value)> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/published").join(name);
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    let rows = reader.deserialize::<BTreeMap<String, String>>().map(|row| {
        let (mut texts, mut figures) = (BTreeMap::new(), serde_json::Map::new());
        for (column, cell) in row.unwrap() {
            match cell.parse::<f64>() {
                Ok(figure) => drop(figures.insert(column, figure.into())),
                Err(_) => drop(texts.insert(column, cell)),
            }
        }
        (texts, figures.into())
    });
    rows.collect()
}

/// Section 2. Elements between rooms of the same temperature are not on the page; they let nothing through.
#[actix_web::test]
async fn section_2_heat_loss() {
    let (mut answer, page) = (Answer::to("heat-loss").await, &figures()["heat_loss"]);
    let mut elements = rows("hand_house_elements.csv");
    assert_eq!(elements.len(), 40);
    let list = "/heat_loss/rooms";
    for (texts, figures) in rows("hand_house_rooms.csv") {
        let place = answer.place(list, "room", &texts["room"]);
        answer.hold(&place, &figures, HEAT_LOSS, &[]);
        for index in 0..answer.list(&format!("{place}/elements")).len() {
            let element = format!("{place}/elements/{index}");
            let found = answer.body.pointer(&element).unwrap();
            let named = |(names, _): &(BTreeMap<String, String>, Value)| {
                let same = |name: &&str| found[*name].as_str().unwrap_or("") == names[*name];
                names["room"] == texts["room"] && ["declared_in", "surface", "opening"].iter().all(same)
            };
            match elements.iter().position(named) {
                Some(row) => answer.hold(&element, &elements.swap_remove(row).1, HEAT_LOSS, &[]),
                None => assert_eq!(found["transmission_w"], 0.0, "{element} is not on the page"),
            }
        }
    }
    assert!(elements.is_empty(), "on the page and not answered: {elements:?}");
    answer.hold_rows(list, "room", &page["rooms"], ARITHMETIC, &[]);
    let living = answer.place(list, "room", "living");
    answer.hold(&living, &json!({"left_to_heated_floor_m2": page["left_to_heated_floor_m2"]}), ARITHMETIC, &[]);
    let slab = answer.place("/heat_loss/constructions", "construction", "ground");
    answer.hold(&slab, &page["slab"], HEAT_LOSS, &[]);
    answer.hold("/heat_loss/dwelling", &page["dwelling"], HEAT_LOSS, &[]);
    let between: f64 = answer.list(list).iter().map(|room| room["to_rooms_w"].as_f64().unwrap()).sum();
    assert!(between.abs() < 0.01, "flows between rooms add up to {between} W: 0.01 W, as rooms are rounded");
    answer.tell();
}

/// Section 3.
#[actix_web::test]
async fn section_3_radiators() {
    let (mut answer, page) = (Answer::to("emitters").await, &figures()["radiators"]);
    let printed =
        [("load_w", HEAT_LOSS), ("output_w", HEAT_LOSS), ("return_temperature_c", RETURN), ("flow_l_h", FLOW)];
    for (room, row) in page.as_object().unwrap() {
        let emitter = format!("{}/emitters/0", answer.place("/emitters/rooms", "room", room));
        answer.hold(&emitter, row, ARITHMETIC, &printed);
    }
    answer.tell();
}

/// Section 4; the friction of a loop is told with its circuit.
#[actix_web::test]
async fn section_4_heated_floor() {
    let (mut answer, page) = (Answer::to("emitters").await, &figures()["heated_floor"]);
    let room = page["room"].as_str().unwrap();
    let floor = format!("{}/emitters/0", answer.place("/emitters/rooms", "room", room));
    let printed = [
        ("load_w", HEAT_LOSS),
        ("output_w", HEAT_LOSS),
        ("capacity_w", FACTORS),
        ("limit_w_m2", FACTORS),
        ("a_b", FACTORS),
        ("a_t", FACTORS),
        ("a_u", FACTORS),
        ("a_d", FACTORS),
        ("b_w_m2k", FACTORS),
        ("kh_w_m2k", FACTORS),
        ("bg_w_m2", FACTORS),
        ("ng", FACTORS),
        ("floor_surface_c", SURFACE),
        ("return_temperature_c", RETURN),
        ("downward_w", DOWNWARD),
        ("downward_w_m2", DOWNWARD),
        ("flow_l_h", FLOW),
        ("mass_flow_kg_s", FLOW),
        ("specific_heat_j_kgk", SPECIFIC_HEAT),
    ];
    answer.hold(&floor, &page["emitter"], ARITHMETIC, &printed);
    answer.hold(&floor, &page["duty"], FACTORS, &[]);
    answer.hold("/emitters", &json!({"downward_w": page["emitter"]["downward_w"]}), DOWNWARD, &[]);
    let (list, loops) = (format!("{floor}/loops"), page["loops"].as_array().unwrap());
    assert_eq!(answer.list(&list).len(), loops.len());
    for (index, row) in loops.iter().enumerate() {
        answer.hold(&format!("{list}/{index}"), row, ARITHMETIC, &[]);
    }
    answer.tell();
    let mut pipework = Answer::to("pipework").await;
    let circuit = pipework.place("/pipework/circuits", "room", room);
    pipework.hold(&circuit, &page["loop_friction"], FRICTION, &[]);
    pipework.tell();
}

/// Section 5.
#[actix_web::test]
async fn section_5_heat_source() {
    let (mut answer, page) = (Answer::to("plant").await, &figures()["heat_source"]);
    answer.hold("/plant/heat_source", &page["source"], ARITHMETIC, &[("people", Within::Equal)]);
    answer.hold_rows("/plant/heat_source/candidates", "product", &page["candidates"], POINTS, &[]);
    answer.tell();
}

/// Section 6, with the water of section 0 as the first run shows it.
#[actix_web::test]
async fn section_6_pipework() {
    let (mut answer, page) = (Answer::to("pipework").await, &figures()["pipework"]);
    let printed = [
        ("flow_l_h", FLOW),
        ("gradient_pa_m", GRADIENT),
        ("friction_drop_pa", GRADIENT),
        ("pressure_drop_pa", GRADIENT),
    ];
    answer.hold_rows("/pipework/sections", "id", &page["sections"], ARITHMETIC, &printed);
    answer.hold_rows("/pipework/circuits", "room", &page["circuits"], FRICTION, &[]);
    let plant_room = json!({"plant_pressure_drop_pa": page["plant_pressure_drop_pa"]});
    answer.hold("/pipework", &plant_room, ARITHMETIC, &[]);
    let index = answer.place("/pipework/circuits", "room", page["index_circuit"].as_str().unwrap());
    answer.hold(
        "/pipework",
        &json!({"index_circuit": answer.body.pointer(&index).unwrap()["serves"]}),
        ARITHMETIC,
        &[],
    );
    let pump = [("flow_l_h", FLOW), ("head_kpa", FRICTION)];
    answer.hold("/pipework/pump", &page["pump"], ARITHMETIC, &pump);

    let working = answer.list("/workings").iter().find(|row| row["name"] == "reynolds").unwrap();
    let density = &working["values"]["density_kg_m3"];
    let viscosity = working["values"]["dynamic_viscosity_pa_s"].as_f64().unwrap() / density.as_f64().unwrap();
    assert!(agrees(density, &page["water"]["density_kg_m3"], DENSITY), "{density}");
    assert!(agrees(&viscosity.into(), &page["water"]["kinematic_viscosity_m2_s"], VISCOSITY), "{viscosity}");
    answer.held += 2;
    answer.tell();
}

/// Section 7.
#[actix_web::test]
async fn section_7_plant() {
    let (mut answer, page) = (Answer::to("plant").await, &figures()["plant"]);
    answer.hold("/plant/cylinder", &page["cylinder"], ARITHMETIC, &[]);
    answer.hold("/plant/water_content", &page["water_content"], WATER, &[]);
    let printed = [
        ("expansion", WATER),
        ("expansion_volume_l", WATER),
        ("cold_kg_m3", DENSITY),
        ("hot_kg_m3", DENSITY),
        ("needed_l", VESSEL),
    ];
    answer.hold("/plant/expansion_vessel", &page["expansion_vessel"], ARITHMETIC, &printed);
    answer.tell();
}

/// Section 8: money, hours and counts are exact; areas, metres and litres that labour goes by are not counts.
#[actix_web::test]
async fn section_8_bill_labour_and_visits() {
    let (mut answer, page) = (Answer::to("bill").await, figures());
    answer.hold_rows("/bill/lines", "code", &page["bill"]["lines"], Within::Equal, &[]);
    answer.hold_rows("/bill/labour", "task", &page["bill"]["labour"], Within::Equal, &[("quantity", ARITHMETIC)]);
    answer.hold("/bill/totals", &page["bill"]["totals"], Within::Equal, &[]);
    answer.tell();
    let mut programme = Answer::to("programme").await;
    programme.hold_rows("/programme/visits", "visit", &page["visits"], Within::Equal, &[]);
    programme.hold("/programme", &json!({"labour_h": page["bill"]["totals"]["labour_h"]}), Within::Equal, &[]);
    programme.tell();
}

/// Section 9: money is exact.
#[actix_web::test]
async fn section_9_price() {
    let (mut answer, page) = (Answer::to("price").await, &figures()["price"]);
    answer.hold_rows("/price/supplies", "supply", &page["supplies"], Within::Equal, &[]);
    answer.hold("/price", &page["total"], Within::Equal, &[]);
    answer.tell();
}
