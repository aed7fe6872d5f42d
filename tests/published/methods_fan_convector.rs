//! Fan convectors against figures from outside of this program.

use crate::fixture::{assert_within, rows};
use serde::Deserialize;
use tundish::methods::Off;
use tundish::methods::fan_convector::{FanConvector, Outputs, Running};

#[derive(Deserialize)]
struct Row {
    difference_k: f64,
    speed_1_kw: f64,
    speed_2_kw: f64,
    speed_3_kw: f64,
    speed_4_kw: f64,
    speed_5_kw: f64,
    speed_6_kw: f64,
}

fn unit() -> FanConvector {
    let table = rows::<Row>("fan_convector.csv");
    assert_eq!(table.len(), 7);
    let outputs = table.into_iter().map(|row| {
        let slow_kw = [row.speed_1_kw, row.speed_2_kw, row.speed_3_kw];
        let fast_kw = [row.speed_4_kw, row.speed_5_kw, row.speed_6_kw];
        let outputs_w = slow_kw.into_iter().chain(fast_kw).map(|kw| 1000.0 * kw).collect();
        Outputs { difference_k: row.difference_k, outputs_w }
    });
    FanConvector::new(outputs.collect(), vec![15.0, 19.0, 25.0, 33.0, 43.0, 56.0]).unwrap()
}

/// Midway between the rows of 20 and 30 K. Source: worked apart from this program from the table.
#[test]
fn a_row_between_two_rows() {
    for (speed, expected_w) in [500.0, 705.0, 955.0, 1110.0, 1250.0, 1560.0].into_iter().enumerate() {
        assert_within("output", unit().output(25.0, speed + 1, &mut Off).unwrap(), expected_w, 1e-9);
    }
}

/// Demands of 1.0 and 0.3 kW at 25 K. Source: worked apart from this program from the table; half of the last digit.
#[test]
fn a_demand_between_two_speeds_and_one_below_the_slowest() {
    let Running { output_w, speed, run, fan_w } = unit().run(25.0, 1000.0, &mut Off).unwrap();
    assert_eq!((speed, run.to_string()), (4, "1".to_owned()));
    assert_within("output", output_w, 1000.0, 1e-9);
    assert_within("fan", fan_w, 27.32, 0.005);
    let Running { speed, run, fan_w, .. } = unit().run(25.0, 300.0, &mut Off).unwrap();
    assert_eq!(speed, 1);
    assert_within("run", run, 0.6, 1e-12);
    assert_within("fan", fan_w, 9.0, 1e-9);
    // more than its top speed has: 1.56 kW, at 56 W
    let Running { output_w, speed, fan_w, .. } = unit().run(25.0, 2000.0, &mut Off).unwrap();
    assert_eq!(speed, 6);
    assert_within("output", output_w, 1560.0, 1e-9);
    assert_within("fan", fan_w, 56.0, 1e-12);
}
