//! Dew points against a library of moist air.

use crate::fixture::{assert_within, rows};
use serde::Deserialize;
use tundish::methods::{Off, iso_13788};

#[derive(Deserialize)]
struct Row {
    air_c: f64,
    relative_humidity_pct: f64,
    dew_point_c: f64,
}

#[test]
fn dew_points_and_frost_points_as_a_library_has_them() {
    let table = rows::<Row>("dew_point.csv");
    assert_eq!(table.len(), 57);
    for Row { air_c, relative_humidity_pct, dew_point_c } in table {
        let found = iso_13788::dew_point(air_c, relative_humidity_pct / 100.0, &mut Off).unwrap();
        assert_within(&format!("{air_c} °C, {relative_humidity_pct} %"), found, dew_point_c, 0.05);
    }
}
