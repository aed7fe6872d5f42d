//! Tested floors, with the published figures of a calculated one as their rows.

use crate::fixture::{assert_within, rows};
use serde::Deserialize;
use tundish::methods::Off;
use tundish::methods::tested_floor::{self, Limit, Slope};

#[derive(Deserialize)]
struct SlopeRow {
    covering_m2k_w: f64,
    spacing_m: f64,
    kh: f64,
}

#[test]
fn slopes_between_a_bare_and_a_covered_row_come_near_those_of_the_standard() {
    // from rows at 0 and 0.15 m²K/W alone; EN 1264-2's factors are not quite straight in 1/KH, so 2 %
    let table = rows::<SlopeRow>("en_1264_characteristic.csv");
    let mut compared = 0;
    for &SlopeRow { covering_m2k_w, spacing_m, kh } in &table {
        let of_spacing = table.iter().filter(|row| (row.spacing_m - spacing_m).abs() < 1e-9);
        let all: Vec<_> =
            of_spacing.map(|row| Slope { covering_m2k_w: row.covering_m2k_w, kh_w_m2k: row.kh }).collect();
        let what = format!("{covering_m2k_w} at {spacing_m}");
        let itself = tested_floor::slope(&all, covering_m2k_w, &mut Off).unwrap();
        assert_within(&what, itself, kh, 0.0);
        let ends = [all[0], all[all.len() - 1]];
        assert_within(&what, tested_floor::slope(&ends, covering_m2k_w, &mut Off).unwrap(), kh, 0.02 * kh);
        compared += 1;
    }
    assert_eq!(compared, 20);
}

#[derive(Deserialize)]
struct LimitRow {
    spacing_m: f64,
    covering_m2k_w: f64,
    surface_limit_c: f64,
    limit_w_m2: f64,
}

#[test]
fn a_limit_at_another_surface_temperature() {
    let table = rows::<LimitRow>("en_1264_limit.csv");
    let of = |surface_limit_c: f64| {
        let floor = table.iter().filter(|row| (row.spacing_m - 0.15).abs() < 1e-9);
        floor.filter(move |row| (row.surface_limit_c - surface_limit_c).abs() < 1e-9)
    };
    let declared: Vec<_> =
        of(29.0).map(|row| Limit { covering_m2k_w: row.covering_m2k_w, limit_w_m2: row.limit_w_m2 }).collect();
    assert_eq!(declared.len(), 2);
    for row in of(35.0) {
        let found = tested_floor::limit(&declared, row.covering_m2k_w, 35.0, 20.0, &mut Off).unwrap();
        // half of the last digit of both, the row's own grown with φ
        assert_within("limit at 35 °C", found, row.limit_w_m2, 0.05 + 0.05 * 1.754);
    }
}

/// Source: a straight line by hand. Between 90 W/m² under 0.05 and 60 W/m² under 0.15 m²K/W a covering of 0.08 has three tenths of
/// the way, 81 W/m² at the 9 K that the rows are declared for.
#[test]
fn a_limit_between_two_coverings() {
    let rows = [(0.05, 90.0), (0.15, 60.0)].map(|(covering_m2k_w, limit_w_m2)| Limit { covering_m2k_w, limit_w_m2 });
    let found = tested_floor::limit(&rows, 0.08, 29.0, 20.0, &mut Off).unwrap();
    assert_within("limit at 0.08", found, 81.0, 1e-9);
}
