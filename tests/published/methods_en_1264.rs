//! Heated floors against figures from outside of this program.

use crate::fixture::{assert_within, rows};
use serde::Deserialize;
use tundish::methods::en_1264_2::{self, TypeA};
use tundish::methods::en_1264_4::{self, Below};
use tundish::methods::floor_conduction::{ACROSS_PIPE_IN_A_SEARCH, Pipe, Section, solve_on};
use tundish::methods::math::pow;
use tundish::methods::{Budget, Off, en_1264_3};

/// The floor that most of the tables are given for.
const FLOOR: TypeA = TypeA {
    spacing_m: 0.15,
    cover_m: 0.045,
    cover_w_mk: 1.2,
    covering_m2k_w: 0.1,
    pipe_outside_m: 0.016,
    pipe_wall_m: 0.002,
    pipe_w_mk: 0.35,
    sheath: None,
};

fn kh(floor: &TypeA) -> f64 {
    en_1264_2::characteristic(floor, &mut Off).unwrap().kh_w_m2k
}

#[derive(Deserialize)]
struct Returns {
    case: String,
    spacing_m: f64,
    pipe_outside_m: f64,
    pipe_w_mk: f64,
    kh: f64,
    excess_k: f64,
    flow_c: f64,
    printed_1_c: f64,
    design_1_c: f64,
    printed_2_c: f64,
    design_2_c: f64,
}

#[test]
fn return_temperatures_of_two_rooms_as_printed_in_a_paper() {
    const ROOM_C: f64 = 20.0;
    let table = rows::<Returns>("en_1264_returns.csv");
    assert_eq!(table.len(), 5);
    for row in table {
        let Returns { case, spacing_m, pipe_outside_m, pipe_w_mk, .. } = row;
        let kh = kh(&TypeA { spacing_m, pipe_outside_m, pipe_w_mk, cover_m: 0.06, ..FLOOR });
        assert_within(&format!("{case}, KH"), kh, row.kh, 0.00005);
        let excess_k = 50.0 / kh;
        assert_within(&format!("{case}, excess"), excess_k, row.excess_k, 0.00005);
        let flow_c = en_1264_3::flow_temperature(excess_k, 5.0, ROOM_C, &mut Off).unwrap();
        assert_within(&format!("{case}, flow"), flow_c, row.flow_c, 0.00006);
        let first_c = en_1264_3::return_temperature(flow_c, ROOM_C, excess_k, &mut Off).unwrap().return_c;
        assert_within(&format!("{case}, room 1 as printed"), first_c, row.printed_1_c, 0.01);
        assert_within(&format!("{case}, room 1 as designed"), first_c, row.design_1_c, 0.001);
        let second_excess_k = 100.0 / 3.0 / kh;
        let drop_k = en_1264_3::drop_of_other_room(flow_c - ROOM_C, second_excess_k, &mut Off).unwrap();
        let second_c = flow_c - drop_k;
        assert_within(&format!("{case}, room 2 as printed"), second_c, row.printed_2_c, 0.01);
        assert_within(&format!("{case}, room 2 as designed"), second_c, row.design_2_c, 0.001);
    }
}

#[derive(Deserialize)]
struct Slope {
    covering_m2k_w: f64,
    spacing_m: f64,
    kh: f64,
}

#[test]
fn slopes_by_covering_and_spacing() {
    let table = rows::<Slope>("en_1264_characteristic.csv");
    assert_eq!(table.len(), 20);
    for row in table {
        let Slope { covering_m2k_w, spacing_m, kh: published } = row;
        assert_within("KH", kh(&TypeA { covering_m2k_w, spacing_m, ..FLOOR }), published, 0.0005);
    }
}

#[derive(Deserialize)]
struct LimitRow {
    spacing_m: f64,
    covering_m2k_w: f64,
    surface_limit_c: f64,
    phi: f64,
    bg: f64,
    ng: f64,
    excess_k: f64,
    limit_w_m2: f64,
}

#[test]
fn limits_by_the_warmest_spot() {
    for row in rows::<LimitRow>("en_1264_limit.csv") {
        let floor = TypeA { spacing_m: row.spacing_m, covering_m2k_w: row.covering_m2k_w, ..FLOOR };
        let kh = kh(&floor);
        let limit = en_1264_2::limit(&floor, kh, row.surface_limit_c, 20.0, &mut Off).unwrap();
        assert_within("phi", limit.phi, row.phi, 0.00005);
        assert_within("BG", limit.bg_w_m2, row.bg, 1e-9);
        assert_within("nG", limit.ng, row.ng, 1e-9);
        assert_within("excess", limit.excess_k, row.excess_k, 0.005);
        assert_within("limit", limit.limit_w_m2, row.limit_w_m2, 0.05);
        assert_within("KH times excess", kh * limit.excess_k, limit.limit_w_m2, 1e-9);
    }
}

/// Source: EN 1264-2, tables A.4 and A.6, their rows of 0.3 m once more, as an open Modelica library carries them: resistance of the cover, BG, nG.
const AT_300_MM: [(f64, f64, f64); 9] = [
    (0.0100, 20.5, 0.254),
    (0.0208, 26.8, 0.253),
    (0.0292, 31.6, 0.253),
    (0.0375, 36.4, 0.245),
    (0.0458, 41.5, 0.228),
    (0.0542, 47.5, 0.195),
    (0.0625, 57.5, 0.145),
    (0.0708, 65.3, 0.114),
    (0.0792, 72.4, 0.086),
];

/// Every cell of the limit tables at 0.3 m by what the limit makes of it: KH ΔθH,G = BG ΔθH,G^nG at φ = 1, whence
/// qG = (BG / KH^nG)^(1/(1 − nG)).
#[test]
fn limits_of_pipes_300_mm_apart_under_every_cover() {
    for (cover_m2k_w, bg, ng) in AT_300_MM {
        // a hair inside of the range, whose ends belong to it
        let cover_m = 1.2 * cover_m2k_w.clamp(0.01 + 1e-9, 0.0792 - 1e-9);
        let floor = TypeA { spacing_m: 0.3, cover_m, covering_m2k_w: 0.0, ..FLOOR };
        let kh = kh(&floor);
        let limit = en_1264_2::limit(&floor, kh, 29.0, 20.0, &mut Off).unwrap();
        assert_within("BG", limit.bg_w_m2, bg, 1e-5);
        assert_within("nG", limit.ng, ng, 1e-7);
        let expected = pow(bg / pow(kh, ng), 1.0 / (1.0 - ng));
        assert_within(&format!("limit under {cover_m2k_w}"), limit.limit_w_m2, expected, 1e-4);
    }
}

/// The standard's limits lie up to a fifth beside those of conduction, for pipes 225, 300 and 375 mm apart. How far they lie
/// beside them changes evenly along the spacing: at 300 mm it is the mean of its neighbours within 5.5 %, under every cover.
#[test]
fn limits_stray_evenly_from_those_of_conduction() {
    let pipe = Pipe { outside_m: 0.016, wall_m: 0.002, conductivity_w_mk: 0.35, sheath: None };
    for (cover_m2k_w, ..) in AT_300_MM {
        let cover_m = 1.2 * cover_m2k_w.clamp(0.01 + 1e-9, 0.0792 - 1e-9);
        let beside = |spacing_m: f64| {
            let floor = TypeA { spacing_m, cover_m, covering_m2k_w: 0.0, ..FLOOR };
            let limit = en_1264_2::limit(&floor, kh(&floor), 29.0, 20.0, &mut Off).unwrap();
            let section = Section {
                spacing_m,
                pipe,
                film_w_m2k: f64::INFINITY,
                under_m: 0.0,
                cover_m,
                screed_w_mk: 1.2,
                covering_m2k_w: 0.0,
                surface_w_m2k: 10.8,
                below_m2k_w: 6.0,
            };
            let solution = solve_on(&section, ACROSS_PIPE_IN_A_SEARCH, &Budget::unbounded()).unwrap();
            // all goes straight with the water's excess: scaled to a warmest spot 9 K above the room
            let state = solution.response.at(40.0, 20.0, 20.0);
            limit.limit_w_m2 * (state.surface_highest_c - 20.0) / 9.0 / state.up_w_m2
        };
        let [near, middle, far] = [0.225, 0.3, 0.375].map(beside);
        assert_within(&format!("under {cover_m2k_w}"), middle, 0.5 * (near + far), 0.055);
    }
}

/// Source: EN 1264-2, spacing beyond 375 mm (tables A.5 and A.7, qG,max φ · 100 W/m²), by hand: 0.15 m of 1 W/(mK) have
/// BG 84.4 and nG 0.048 at 0.15/0.375 = 0.4. A KH of 2.0 at 450 mm is 2.4 at 375: (84.4/2.4)^(1/0.952) = 42.0811 K and
/// 2.4 · 42.0811 = 100.9947 W/m², times 0.375/0.45 84.1623; 0.15/0.45 - 0.173 = 0.160333, exp(-20 · 0.160333²) = 0.598017,
/// fG = (100 - 15.8377 · 0.598017)/84.1623 = 1.075646. Under 0.075 m su/T is 0.167, fG 1, and BG 40, nG 0.23 at 0.2:
/// 2.4 · (40/2.4)^(1/0.77) · 0.375/0.45 = 77.241 W/m².
#[test]
fn a_thick_cover_evens_out_a_spacing_beyond_the_tables() {
    let limit = |cover_m, cover_w_mk| {
        let floor = TypeA { spacing_m: 0.45, cover_m, cover_w_mk, ..FLOOR };
        en_1264_2::limit(&floor, 2.0, 29.0, 20.0, &mut Off).unwrap()
    };
    let thick = limit(0.15, 1.0);
    assert_within("qG", thick.limit_w_m2, 84.1623 * 1.075_646, 1e-3);
    assert_within("excess", thick.excess_k, 42.0811 * 1.075_646, 1e-3);
    assert_within("qG under 0.075 m", limit(0.075, 0.8).limit_w_m2, 77.241, 1e-3);
}

#[derive(Deserialize)]
struct Circuit {
    downward_m2k_w: f64,
    below_c: f64,
    downward_w_m2: f64,
    total_w: f64,
    mass_flow_kg_s: f64,
}

#[test]
fn heat_downward_and_flow_of_a_circuit() {
    let (q_w_m2, area_m2, room_c, specific_heat_j_kgk, drop_k) = (50.0, 20.0, 20.0, 4190.0, 5.0);
    let upward_m2k_w = en_1264_3::upward_resistance(0.1, 0.06, 1.2, &mut Off);
    assert_within("Ro", upward_m2k_w, 0.2426, 0.00005);
    for row in rows::<Circuit>("en_1264_downward.csv") {
        let Circuit { downward_m2k_w, below_c, .. } = row;
        let qu = en_1264_3::downward_flux(q_w_m2, upward_m2k_w, downward_m2k_w, room_c, below_c, &mut Off);
        assert_within("qu", qu, row.downward_w_m2, 0.005);
        assert_within("total", area_m2 * (q_w_m2 + qu), row.total_w, 0.05);
        let kg_s = en_1264_3::circuit_mass_flow(area_m2, q_w_m2, qu, specific_heat_j_kgk, drop_k, &mut Off);
        assert_within("flow", kg_s, row.mass_flow_kg_s, 0.000_005);
        // the standard prints the flow as one formula, without qu
        let ratio = upward_m2k_w / downward_m2k_w + (room_c - below_c) / (q_w_m2 * downward_m2k_w);
        let printed = area_m2 * q_w_m2 / (drop_k * specific_heat_j_kgk) * (1.0 + ratio);
        assert_within("flow in one formula", kg_s, printed, 1e-15);
    }
}

#[derive(Deserialize)]
struct House {
    spacing_m: f64,
    a_b: f64,
    a_t: f64,
    a_u: f64,
    a_d: f64,
    b: f64,
    kh: f64,
    output_w_m2: f64,
    bg: f64,
    ng: f64,
    limit_w_m2: f64,
}

#[test]
fn one_floor_of_a_house_worked_by_hand() {
    let near = |what: &str, figure: f64, published: f64| assert_within(what, figure, published, 1e-4 * published);
    let excess_k = en_1264_3::medium_excess(38.0, 33.0, 21.0, &mut Off).unwrap();
    near("excess at the drop", excess_k, 14.35516);
    for row in rows::<House>("en_1264_house.csv") {
        let floor = TypeA { spacing_m: row.spacing_m, covering_m2k_w: 0.04, ..FLOOR };
        let made = en_1264_2::characteristic(&floor, &mut Off).unwrap();
        near("aB", made.a_b, row.a_b);
        near("aT", made.a_t, row.a_t);
        near("aU", made.a_u, row.a_u);
        near("aD", made.a_d, row.a_d);
        near("B", made.b_w_m2k, row.b);
        near("KH", made.kh_w_m2k, row.kh);
        near("output at the drop", made.kh_w_m2k * excess_k, row.output_w_m2);
        let limit = en_1264_2::limit(&floor, made.kh_w_m2k, 29.0, 21.0, &mut Off).unwrap();
        near("phi", limit.phi, 0.878_480_7);
        near("BG", limit.bg_w_m2, row.bg);
        near("nG", limit.ng, row.ng);
        near("limit", limit.limit_w_m2, row.limit_w_m2);
    }
}

#[test]
fn the_chosen_floor_of_that_house_at_its_duty() {
    // 1352.445 W on 28.6 m², spacing 250 mm, slab of 0.1607909 W/(m²K), 10 °C below, 4178.626 J/(kgK)
    let floor = TypeA { spacing_m: 0.25, covering_m2k_w: 0.04, ..FLOOR };
    let q_w_m2 = 1352.445 / 28.6;
    assert_within("surface", 21.0 + en_1264_2::surface_excess(q_w_m2, &mut Off), 25.55549, 0.001);
    let excess_k = q_w_m2 / kh(&floor);
    assert_within("excess", excess_k, 13.86884, 1e-4 * 13.86884);
    let return_c = en_1264_3::return_temperature(38.0, 21.0, excess_k, &mut Off).unwrap().return_c;
    assert_within("return", return_c, 32.14801, 0.01);
    let ro = en_1264_3::upward_resistance(0.04, 0.045, 1.2, &mut Off);
    assert_within("Ro", ro, 0.170_092_6, 1e-7);
    let ru = en_1264_3::downward_resistance_below(0.160_790_9, en_1264_3::FAR_SURFACE_M2K_W, &mut Off).unwrap();
    assert_within("Ru", ru, 6.049_257, 1e-5 * 6.049_257);
    let qu = en_1264_3::downward_flux(q_w_m2, ro, ru, 21.0, 10.0, &mut Off);
    assert_within("qu", qu, 3.148_054, 5e-4 * 3.148_054);
    assert_within("heat downward", qu * 28.6, 90.03436, 5e-4 * 90.03436);
    let kg_s = en_1264_3::circuit_mass_flow(28.6, q_w_m2, qu, 4178.626, 38.0 - return_c, &mut Off);
    assert_within("flow", kg_s, 0.058_989_27, 1e-3 * 0.058_989_27);
}

#[test]
fn three_floors_worked_by_hand() {
    // half of the last digit given, each
    let bare = kh(&TypeA { covering_m2k_w: 0.0, ..FLOOR });
    let flow_c = en_1264_3::flow_temperature(45.0 / bare, 5.0, 21.0, &mut Off).unwrap();
    assert_within("flow of 45 W/m² under tile", flow_c, 31.88, 0.005);
    let excess_k = en_1264_3::medium_excess(35.0, 30.0, 21.0, &mut Off).unwrap();
    assert_within("output under tile at 35/30", bare * excess_k, 62.7, 0.05);
    // timber: 27 °C at most, in a room at 21 °C
    let limit = en_1264_2::limit(&FLOOR, kh(&FLOOR), 27.0, 21.0, &mut Off).unwrap();
    assert_within("phi", limit.phi, 0.6402, 0.00005);
    assert_within("limit under timber", limit.limit_w_m2, 63.1, 0.05);
}

#[derive(Deserialize)]
struct SheetRow {
    room: String,
    excess_k: f64,
    drop_k: f64,
    return_c: f64,
}

/// Source: `en_1264_sheet.csv`. The design room sets the flow; each other room's drop follows from its own mean excess.
#[test]
fn one_flow_temperature_for_the_rooms_of_a_published_sheet() {
    const ROOM_C: f64 = 20.0;
    let design = TypeA { spacing_m: 0.1, cover_m: 0.048, cover_w_mk: 1.0, ..FLOOR };
    assert_within("KH of the design room", kh(&design), 3.582, 0.005 * 3.582);
    let excess_k = 603.0 / 14.65 / kh(&design);
    assert_within("its excess", excess_k, 11.49, 0.05);
    let flow_c = en_1264_3::flow_temperature(excess_k, 5.0, ROOM_C, &mut Off).unwrap();
    assert_within("its flow as printed", flow_c, 34.2, 0.05);
    let flow_c = en_1264_3::flow_temperature(11.49, 5.0, ROOM_C, &mut Off).unwrap();
    assert_within("the flow of its printed excess", flow_c, 34.17, 0.005);
    for row in rows::<SheetRow>("en_1264_sheet.csv") {
        let found = en_1264_3::return_temperature(flow_c, ROOM_C, row.excess_k, &mut Off).unwrap();
        assert_within(&format!("{}, return", row.room), found.return_c, row.return_c, 0.05);
        assert_within(&format!("{}, drop", row.room), flow_c - found.return_c, row.drop_k, 0.05);
    }
}

#[derive(Deserialize)]
struct Basic {
    surface_excess_k: f64,
    q_w_m2: f64,
    tolerance_k: f64,
    tolerance_w_m2: f64,
}

#[test]
fn the_basic_characteristic() {
    for row in rows::<Basic>("en_1264_surface.csv") {
        let Basic { surface_excess_k, q_w_m2, .. } = row;
        assert_within("surface", en_1264_2::surface_excess(q_w_m2, &mut Off), surface_excess_k, row.tolerance_k);
        let q = en_1264_2::output_at_surface_excess(surface_excess_k, &mut Off);
        assert_within("output", q, q_w_m2, row.tolerance_w_m2);
    }
}

#[derive(Deserialize)]
struct Underside {
    below: String,
    design_c: Option<f64>,
    insulation_m2k_w: f64,
}

#[test]
fn the_least_insulation_below_a_floor() {
    let table = rows::<Underside>("en_1264_4.csv");
    assert_eq!(table.len(), 8);
    for row in table {
        let below = match (row.below.as_str(), row.design_c) {
            ("heated room", None) => Below::HeatedRoom,
            ("unheated or ground", None) => Below::UnheatedOrGround,
            ("outside air", Some(design_c)) => Below::OutsideAir { design_c },
            other => panic!("{other:?}"),
        };
        let found = en_1264_4::least_insulation_m2k_w(below);
        assert_within(&format!("insulation, {below:?}"), found, row.insulation_m2k_w, 0.0);
    }
    // beyond the rows the last one stands
    let colder = en_1264_4::least_insulation_m2k_w(Below::OutsideAir { design_c: -22.0 });
    assert_within("insulation beyond the rows", colder, 2.0, 0.0);
}
