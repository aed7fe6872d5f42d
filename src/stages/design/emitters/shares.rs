//! What each emitter of a room should carry, where the job leaves that to be found.
//!
//! Heated floors carry as much as they can of what is left; the others share the rest in equal parts, and none is given more
//! than it can carry while another can. A radiator that hangs there already and may be replaced stays as long as the others
//! can make up for it; where they cannot, the one goes first in whose place most can hang.

use super::radiator::Old;
use super::{Common, Emitter as Designed, fan, floor, radiator};
use crate::design::DesignError;
use crate::job::emitters::Keep;
use crate::list::{Index, List};
use crate::methods::Workings;
use crate::survey::{Emitter, EmitterAt, EmitterKind, Room, Share};

/// How near to 1 shares add up to the whole, for the last digits of their sum.
const WHOLE: f64 = 1e-9;

/// The loads of a room's emitters, of what is left of its loss (W), and a floor that was designed for the very load that it is
/// given.
pub(super) fn loads<W: Workings>(
    common: &Common<'_>,
    room: Index<Room>,
    left_w: f64,
    w: &mut W,
) -> Result<Vec<(f64, Option<Designed>)>, DesignError> {
    let emitters = &common.survey.rooms[room].emitters;
    let mut loads_w: List<Emitter, f64> =
        emitters.iter().map(|emitter| emitter.share.given().unwrap_or(0.0) * left_w).collect();
    let given: f64 = emitters.iter().filter_map(|emitter| emitter.share.given()).sum();
    let rest = if given > 1.0 - WHOLE { 0.0 } else { 1.0 - given };
    let mut rest_w = rest * left_w;
    let (mut others, mut designed) = (Vec::new(), emitters.filled(None));
    for (which, emitter) in emitters.enumerate().filter(|(_, emitter)| emitter.share == Share::Found) {
        match &emitter.kind {
            EmitterKind::HeatedFloor(heated) => {
                let place = EmitterAt { room, emitter: which };
                let at = |error| DesignError::at(common.survey.names.emitter_pointer(place))(error);
                let found = floor::design(common, place, rest_w, heated, w).map_err(at)?;
                loads_w[which] = found.at_load.output_w;
                let given_w = rest_w;
                rest_w = (rest_w - found.at_load.output_w).max(0.0);
                designed[which] = (found.at_load.output_w.to_bits() == given_w.to_bits()).then_some(found);
            }
            EmitterKind::Radiator { .. } | EmitterKind::FanConvector(_) => others.push(which),
        }
    }
    let limits_w = limits(common, room, &others, rest_w);
    for (which, load_w) in others.into_iter().zip(level(rest_w, &limits_w)) {
        loads_w[which] = load_w;
    }
    Ok(loads_w.into_iter().zip(designed).collect())
}

/// The most that each of some emitters may be given of a load, old radiators as they hang as far as that will do (W).
fn limits(common: &Common<'_>, room: Index<Room>, others: &[Index<Emitter>], load_w: f64) -> Vec<f64> {
    let emitters = &common.survey.rooms[room].emitters;
    let most_w = |old: Old| others.iter().map(move |which| most(common, room, &emitters[*which], old));
    let mut limits_w: Vec<f64> = most_w(Old::Stays).collect();
    if limits_w.iter().sum::<f64>() >= load_w {
        return limits_w;
    }
    let may_be_w: Vec<f64> = most_w(Old::MayGo).collect();
    let mut order: Vec<usize> = (0..others.len()).collect();
    order.sort_by(|a, b| (may_be_w[*b] - limits_w[*b]).total_cmp(&(may_be_w[*a] - limits_w[*a])));
    for which in order {
        limits_w[which] = may_be_w[which];
        if limits_w.iter().sum::<f64>() >= load_w {
            break;
        }
    }
    limits_w
}

/// Whether an emitter has nothing to carry and is left out: nobody buys a radiator for nothing, but a towel rail is wanted for
/// its own sake, and what hangs there already stays.
pub(super) fn is_needless(emitter: &Emitter, load_w: f64) -> bool {
    load_w <= 0.0 && !is_wanted(&emitter.kind)
}

/// Whether an emitter stays cold in the design.
pub(super) fn is_idle(emitter: &Emitter, load_w: f64) -> bool {
    load_w <= 0.0 && is_wanted(&emitter.kind)
}

fn is_wanted(kind: &EmitterKind) -> bool {
    match kind {
        EmitterKind::Radiator { hanging, existing } => {
            hanging.is_towel_rail || existing.is_some_and(|existing| existing.keep != Keep::Never)
        }
        EmitterKind::FanConvector(_) => false,
        EmitterKind::HeatedFloor(_) => true,
    }
}

/// Whether others make up for what a heated floor of a room cannot carry.
pub(super) fn is_helped(emitters: &List<Emitter>, which: Index<Emitter>) -> bool {
    emitters[which].share == Share::Found
        && emitters.iter().any(|other| other.share == Share::Found && other.floor().is_none())
}

/// The most that an emitter could carry (W).
fn most(common: &Common<'_>, room: Index<Room>, emitter: &Emitter, old: Old) -> f64 {
    match &emitter.kind {
        EmitterKind::Radiator { hanging, existing } => radiator::most(common, room, hanging, *existing, old),
        EmitterKind::FanConvector(blowing) => fan::most(common, room, blowing),
        EmitterKind::HeatedFloor(_) => 0.0,
    }
}

/// A sum in parts that are equal as far as no limit is passed; where the limits are too low for it, in their proportion.
fn level(sum: f64, limits: &[f64]) -> Vec<f64> {
    let all: f64 = limits.iter().sum();
    if all <= 0.0 {
        return limits.iter().map(|_| sum / count(limits.len())).collect();
    }
    if all <= sum {
        return limits.iter().map(|limit| sum * (limit / all)).collect();
    }
    let mut order: Vec<usize> = (0..limits.len()).collect();
    order.sort_by(|a, b| limits[*a].total_cmp(&limits[*b]));
    let mut parts = vec![0.0; limits.len()];
    let mut left = sum;
    for (done, &which) in order.iter().enumerate() {
        parts[which] = limits[which].min(left / count(limits.len() - done));
        left -= parts[which];
    }
    parts
}

#[expect(clippy::cast_precision_loss, reason = "a room has a few emitters")]
fn count(emitters: usize) -> f64 {
    emitters as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: &[f64], expected: &[f64]) {
        assert!(
            found.len() == expected.len() && found.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-9),
            "{found:?}"
        );
    }

    #[test]
    fn parts_are_equal_up_to_the_limits() {
        close(&level(900.0, &[500.0, 500.0, 500.0]), &[300.0, 300.0, 300.0]);
        close(&level(900.0, &[700.0, 100.0, 500.0]), &[400.0, 100.0, 400.0]);
        close(&level(900.0, &[700.0, 100.0, 200.0]), &[600.0, 100.0, 200.0]);
        close(&level(0.0, &[700.0, 100.0]), &[0.0, 0.0]);
        close(&level(10.0, &[]), &[]);
    }

    #[test]
    fn what_is_too_much_for_all_is_shared_in_their_proportion() {
        close(&level(900.0, &[400.0, 200.0]), &[600.0, 300.0]);
        close(&level(900.0, &[0.0, 0.0]), &[450.0, 450.0]);
    }
}
