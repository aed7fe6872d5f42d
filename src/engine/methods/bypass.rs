//! Water about a heat source whose flow goes round in part.

use super::workings::Workings;
use crate::eq;

/// Water that takes part where some of the flow goes through a bypass: what lies up to it, and of what lies behind it so much as its
/// share of the flow.
///
/// # Source
/// Common practice counts what lies up to a bypass alone, which this is where all goes round; the share is our own choice: a litre that
/// goes through the system meets all of its water, one that goes round none.
/// # Units
/// l, l, l/h, l/h; result l.
/// # Validity
/// A flow above 0, that through the system among it.
/// # Examples
/// ```
/// # use tundish_engine::methods::{bypass, Off};
/// // 10 l up to it and 60 l behind: half of the flow meets half of them
/// assert_eq!(bypass::water(10.0, 60.0, 330.0, 660.0, &mut Off), 40.0);
/// assert_eq!(bypass::water(10.0, 60.0, 0.0, 660.0, &mut Off), 10.0);
/// ```
pub fn water(before_l: f64, behind_l: f64, through_l_h: f64, flow_l_h: f64, w: &mut impl Workings) -> f64 {
    if flow_l_h <= 0.0 {
        return before_l;
    }
    eq!(w, TRADE_PRACTICE: met_l = before_l + behind_l * through_l_h / flow_l_h);
    met_l
}
