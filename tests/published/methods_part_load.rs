//! A milder day against figures from outside of this program.

use crate::fixture::assert_within;
use tundish::methods::{Off, part_load};

/// Water of 55 °C at −4 °C outside and of 30 °C at 20 °C: 50.8333 °C at 0 °C. Source: public tests of a government's
/// dwelling energy model (epb-home-energy-model 74798f9), weather compensation of emitters; half of the last digit.
#[test]
fn a_straight_heating_curve() {
    let share = part_load::load_share(20.0, -4.0, 0.0, &mut Off).unwrap();
    assert_within("flow", part_load::flow_temperature(55.0, 30.0, share, &mut Off), 50.8333, 0.000_05);
}
