//! The ways from the plant to every end and back.

use super::ends::{self, End};
use super::flows;
use super::section::Section;
use crate::design::emitters::Emitters;
use crate::design::own_pump::OwnPump;
use crate::list::{Index, List};
use crate::methods::{MethodError, Workings, sums};
use crate::survey::{Room, Run, Survey};

/// The way from the plant to an end and back.
#[derive(Debug, Clone, PartialEq)]
pub struct Circuit {
    /// What it serves.
    pub end: End,
    /// Room whose loop sets a manifold's drop.
    pub room: Option<Index<Room>>,
    /// Its sections, from the plant.
    pub sections: Vec<Index<Run>>,
    /// Pressure drop at the end (Pa).
    pub end_pa: f64,
    /// Pressure drop of its runs, both legs (Pa).
    pub runs_pa: f64,
    /// Pressure drop in all (Pa): plant room and primary among it, unless a separation parts them from the system.
    pub drop_pa: f64,
}

/// Pressure drop that every circuit has before its runs (Pa): plant room and primary, unless a separation parts them from the
/// system.
pub(super) fn before_pa(is_separated: bool, own: &OwnPump, primary: Option<&Section>) -> f64 {
    if is_separated { 0.0 } else { primary.map_or(0.0, |primary| primary.drop_pa) + own.plant_pa }
}

/// One circuit for each end that is served.
pub(super) fn circuits<W: Workings>(
    survey: &Survey,
    emitters: &Emitters,
    sections: &List<Run, Section>,
    before_pa: f64,
    w: &mut W,
) -> Result<List<Circuit>, MethodError> {
    let runs = &survey.pipes.runs;
    let mut circuits: List<Circuit> = List::default();
    for (index, run) in runs.enumerate() {
        for &end in run.serves.iter().filter(|end| !flows::is_left_out(survey, emitters, **end)) {
            let number = circuits.len();
            let mut w = w.at(|| format!("/pipework/circuits/{number}"));
            let (end_pa, room) = ends::end_drop(survey, emitters, end, &mut w.within("end_pressure_drop_pa"))?;
            let mut way: Vec<Index<Run>> = std::iter::successors(Some(index), |&last| runs[last].from).collect();
            way.reverse();
            let mut to_whole = w.within("pressure_drop_pa");
            let each_pa = way.iter().map(|&section| sections[section].drop_pa);
            let runs_pa = sums::sum(each_pa, sums::and_pa, &mut to_whole);
            let behind_pa = sums::and_pa(runs_pa, end_pa, &mut to_whole);
            let drop_pa = sums::and_pa(behind_pa, before_pa, &mut to_whole);
            drop(to_whole);
            circuits.push(Circuit { end, room, sections: way, end_pa, runs_pa, drop_pa });
        }
    }
    Ok(circuits)
}

/// The circuit with the greatest pressure drop.
pub(super) fn index(circuits: &List<Circuit>) -> Option<Index<Circuit>> {
    let greatest = circuits.enumerate().max_by(|(_, a), (_, b)| a.drop_pa.total_cmp(&b.drop_pa));
    greatest.map(|(index, _)| index)
}
