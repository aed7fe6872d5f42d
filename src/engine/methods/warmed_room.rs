//! How warm a room becomes whose emitters are not throttled.

use super::error::MethodError;
use super::root;
use super::workings::Workings;
use crate::eq;

/// Difference of what is given and lost, over the loss, at which a search ends.
const TOLERANCE: f64 = 1e-11;

/// What a room loses at its temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Losing {
    /// Temperature that it is designed for (°C).
    pub room_c: f64,
    /// Outside temperature (°C).
    pub outside_c: f64,
    /// What it loses then (W).
    pub loss_w: f64,
}

impl Losing {
    /// Temperature at which what its emitters give is what it loses (°C); that it is designed for where they give no more there.
    ///
    /// # Source
    /// Conservation of energy: it loses by its excess over outside, L·(θ′ − θe)/(θ − θe).
    /// # Units
    /// `gives` tells what emitters give at a temperature of the room (W, °C); `hottest_c` (°C) is where they give nothing.
    /// # Validity
    /// A room warmer than outside, and emitters that give less to a warmer room.
    /// # Errors
    /// [`MethodError::Impossible`] for a room no warmer than outside, and whatever `gives` refuses.
    /// # Examples
    /// ```
    /// # use tundish_engine::methods::{warmed_room::Losing, Off};
    /// // 1,000 W lost at 21 °C and -3 °C outside, 1,200 W given there and 100 W less each kelvin: 200 W over 141.7 W/K
    /// let room = Losing { room_c: 21.0, outside_c: -3.0, loss_w: 1000.0 };
    /// let warm_c = room.warmed(33.0, |room_c| Ok(1200.0 - 100.0 * (room_c - 21.0)), &mut Off)?;
    /// assert!((warm_c - (21.0 + 200.0 / (1000.0 / 24.0 + 100.0))).abs() < 1e-9);
    /// # Ok::<(), tundish_engine::methods::MethodError>(())
    /// ```
    pub fn warmed(
        &self,
        hottest_c: f64,
        mut gives: impl FnMut(f64) -> Result<f64, MethodError>,
        w: &mut impl Workings,
    ) -> Result<f64, MethodError> {
        let Self { room_c, outside_c, loss_w } = *self;
        if room_c <= outside_c {
            return Err(MethodError::Impossible { reason: "a room that is no warmer than outside loses nothing" });
        }
        if loss_w <= 0.0 || hottest_c <= room_c || gives(room_c)? <= loss_w {
            return Ok(room_c);
        }
        let over = |warm_c: f64| -> Result<f64, MethodError> {
            Ok((gives(warm_c)? - loss_w * (warm_c - outside_c) / (room_c - outside_c)) / loss_w)
        };
        let found_c = root::between("the temperature of a room", (room_c, hottest_c), TOLERANCE, over)?.at;
        let given_w = gives(found_c)?;
        eq!(w, ENERGY_BALANCE: warm_c = outside_c + (room_c - outside_c) * given_w / loss_w);
        Ok(warm_c)
    }
}

/// What a floor gives to a warmer room with the flow that it has (W).
///
/// # Source
/// A slope of output by mean excess, with conservation of energy: at one flow the mean excess goes with that of the flow.
/// # Units
/// W, °C; result W.
/// # Validity
/// A flow warmer than the room. What goes downward is left out.
/// # Examples
/// ```
/// # use tundish_engine::methods::{warmed_room, Off};
/// // water of 35 °C, 14 K above the room; 1.4 K more in the room take a tenth
/// let gives_w = warmed_room::floor_gives(1000.0, 35.0, 21.0, 22.4, &mut Off);
/// assert!((gives_w - 900.0).abs() < 1e-9);
/// ```
pub fn floor_gives(output_w: f64, flow_c: f64, room_c: f64, warm_c: f64, w: &mut impl Workings) -> f64 {
    eq!(w, ENERGY_BALANCE: gives_w = output_w * (flow_c - warm_c) / (flow_c - room_c));
    gives_w
}
