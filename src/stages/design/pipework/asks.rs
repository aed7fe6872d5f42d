//! What a run asks of its tube by what it leads to: a bore for a manifold, and whether it is a tail.

use super::ends::End;
use super::flows;
use crate::design::emitters::{Emitters, is_on};
use crate::job::pipework::Manifold;
use crate::list::{Index, List};
use crate::survey::{Run, Survey};

/// What a run asks of its tube.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Asks {
    /// Least inside diameter (mm), where it leads to a manifold and to nothing else.
    pub bore_min_mm: Option<f64>,
    /// Whether it leads to an end, and nothing leaves from it.
    pub is_tail: bool,
}

/// What a run leads to.
#[derive(Debug, Clone, Copy, PartialEq)]
enum LeadsTo {
    Nothing,
    Manifold(Index<Manifold>),
    Others,
}

impl LeadsTo {
    fn and(self, other: Self) -> Self {
        match (self, other) {
            (one, Self::Nothing) | (Self::Nothing, one) => one,
            (Self::Manifold(_) | Self::Others, Self::Manifold(_) | Self::Others) => Self::Others,
        }
    }
}

/// What every run asks, by the flow of each (l/h).
pub(super) fn asks(survey: &Survey, emitters: &Emitters, flows_l_h: &List<Run, f64>) -> List<Run, Asks> {
    let runs = &survey.pipes.runs;
    let mut leads = runs.filled(LeadsTo::Nothing);
    let mut is_tail = runs.filled(true);
    for (index, run) in runs.enumerate().rev() {
        let served = run.serves.iter().filter(|end| !flows::is_left_out(survey, emitters, **end));
        let own = served.map(|end| match end {
            End::Manifold(manifold) => LeadsTo::Manifold(*manifold),
            End::Radiator(_) => LeadsTo::Others,
        });
        leads[index] = own.fold(leads[index], LeadsTo::and);
        is_tail[index] &= !run.serves.is_empty();
        if let Some(from) = run.from {
            is_tail[from] = false;
            leads[from] = leads[from].and(leads[index]);
        }
    }
    let each = leads.iter().zip(&is_tail).zip(flows_l_h).map(|((leads, &is_tail), &flow_l_h)| {
        let bore_min_mm = match *leads {
            LeadsTo::Manifold(manifold) => survey.book.feed_bore_mm(loops(survey, emitters, manifold), flow_l_h),
            LeadsTo::Nothing | LeadsTo::Others => None,
        };
        Asks { bore_min_mm, is_tail }
    });
    each.collect()
}

/// Loops that hang on a manifold.
fn loops(survey: &Survey, emitters: &Emitters, manifold: Index<Manifold>) -> u32 {
    let floors = emitters.floors().filter(|(at, ..)| is_on(survey, *at, manifold));
    floors.map(|(_, floor, _)| floor.loop_count()).sum()
}
