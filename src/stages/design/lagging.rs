//! What is round a pipe, and what it loses through that: for the heat source before pipes are sized, and for pipes as they
//! are laid.

use crate::catalogue::offer::{PipeInsulation, Tube};
use crate::job::emitters::Keep;
use crate::job::pipework::Place;
use crate::list::Index;
use crate::methods::pipe_loss::{self, Insulated};
use crate::methods::{MethodError, Off, Workings, sums};
use crate::survey::{Lagging, Run, Survey};

/// What is round a tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lagged {
    /// Thickness (mm); 0 where it is bare.
    pub thickness_mm: f64,
    /// Thermal conductivity (W/(mK)).
    pub conductivity_w_mk: f64,
    /// Index into the insulation on offer, where it is of the price book.
    pub offered: Option<Index<PipeInsulation>>,
    /// Whether it is no product of the price book: given with the job, or wanting in the book.
    pub is_wanting: bool,
}

impl Lagged {
    /// Nothing.
    pub(super) const BARE: Self = Self { thickness_mm: 0.0, conductivity_w_mk: 0.0, offered: None, is_wanting: false };
}

/// Thickness that is usual in a place (mm).
fn usual_mm(survey: &Survey, place: Place) -> f64 {
    let defaults = &survey.defaults;
    match place {
        Place::Bedroom | Place::Occupied => defaults.pipe_insulation_rooms_mm.value,
        Place::PlantRoom => defaults.pipe_insulation_plant_room_mm.value,
        Place::Loft | Place::Unheated => defaults.pipe_insulation_unheated_mm.value,
        Place::Outdoors => defaults.pipe_insulation_outdoors_mm.value,
    }
}

/// What both legs of a run lose (W); below 0 where they take heat up.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Lost {
    /// All of it.
    pub whole_w: f64,
    /// What of it is lost outside the heated rooms: in the open, in lofts and unheated places. What is lost in rooms warms them.
    pub outside_w: f64,
}

/// Whether what a pipe loses in a place is lost to the house.
fn is_outside(place: Place) -> bool {
    match place {
        Place::Bedroom | Place::Occupied | Place::PlantRoom => false,
        Place::Loft | Place::Unheated | Place::Outdoors => true,
    }
}

/// What both legs of a run lose with a tube, flow and return as warm as that; and what is round it, in the open last.
pub(super) fn lost(
    survey: &Survey,
    run: &Run,
    tube: Index<Tube>,
    legs_c: [f64; 2],
    w: &mut impl Workings,
) -> Result<(Lost, [Lagged; 2]), MethodError> {
    let [inside, open] = [false, true].map(|is_open| lagged(survey, run, tube, is_open));
    // what of a run in the open does not lie there comes out in the plant room
    let is_inside_out = run.place != Place::Outdoors && is_outside(run.place);
    let parts =
        [(run.length_m - run.open_m, inside, run.surrounding_c, is_inside_out), (run.open_m, open, run.open_c, true)];
    let mut lost = Lost::default();
    for leg_c in legs_c {
        for (length_m, lagged, about_c, is_outside) in parts {
            if length_m <= 0.0 {
                continue;
            }
            let loss_w_m = loss_w_m(survey, tube, lagged, leg_c - about_c, w)?;
            let loss_w = pipe_loss::over_length(length_m, loss_w_m, w);
            lost.whole_w = sums::and_w(lost.whole_w, loss_w, w);
            lost.outside_w += if is_outside { loss_w } else { 0.0 };
        }
    }
    Ok((lost, [inside, open]))
}

/// A run whose tube nobody can see: nothing is laid round what nobody can reach, and insulation that is there must be given.
pub(super) fn out_of_reach(run: &Run) -> Run {
    let lagging = if run.lagging == Lagging::ByPlace { Lagging::Bare } else { run.lagging };
    Run { lagging, ..run.clone() }
}

/// What pipes lose outside the heated rooms, reckoned before they are sized (W): each by the widest tube that it may have, or by
/// the one that stays, flow and return as warm as that. Heat that a pipe takes up where it is warmer is not counted on.
pub(super) fn expected_w<'r>(
    survey: &Survey,
    runs: impl IntoIterator<Item = &'r Run>,
    legs_c: [f64; 2],
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    let bore_m = |tube: &Index<Tube>| survey.offer.tubes[*tube].bore_m;
    let widest = survey.pipes.tubes.iter().copied().max_by(|a, b| bore_m(a).total_cmp(&bore_m(b)));
    let mut lost_w = 0.0;
    for run in runs {
        let hidden = run.readings().map(|_| out_of_reach(run));
        let (lying, stays) = (run.existing_tube(), run.laid.as_ref().is_some_and(|laid| laid.keep == Keep::Always));
        let tube = match lying {
            Some(lying) if stays => Some(lying),
            Some(lying) => Some(widest.filter(|widest| bore_m(widest) > bore_m(&lying)).unwrap_or(lying)),
            None => widest,
        };
        if let Some(tube) = tube {
            let (lost, _) = lost(survey, hidden.as_ref().unwrap_or(run), tube, legs_c, &mut Off)?;
            if lost.outside_w > 0.0 {
                lost_w = sums::and_w(lost_w, lost.outside_w, w);
            }
        }
    }
    Ok(lost_w)
}

/// What goes round a tube of a run, where it lies in the open or where it does not.
fn lagged(survey: &Survey, run: &Run, tube: Index<Tube>, is_open: bool) -> Lagged {
    match run.lagging {
        Lagging::Bare => Lagged::BARE,
        Lagging::Given(thickness_mm, conductivity_w_mk) => {
            Lagged { thickness_mm, conductivity_w_mk, offered: None, is_wanting: true }
        }
        Lagging::ByPlace => {
            // what of a run in the open does not lie there comes out in the plant room
            let place = if run.place == Place::Outdoors { Place::PlantRoom } else { run.place };
            let least_mm = usual_mm(survey, if is_open { Place::Outdoors } else { place });
            let fit_mm = survey.defaults.pipe_insulation_fit_mm.value;
            let usual_w_mk = survey.defaults.pipe_insulation_w_mk.value;
            let outside_mm = 1000.0 * survey.offer.tubes[tube].outside_m;
            let fits = |index: &Index<PipeInsulation>| {
                let insulation = &survey.offer.pipe_insulation[*index];
                (1000.0 * insulation.fits_m - outside_mm).abs() < fit_mm
                    && insulation.thickness_mm >= least_mm - 1e-9
                    && (insulation.for_outdoors || !is_open)
                    && (insulation.keeps_vapour_out || survey.cooling.is_none())
            };
            // by thickness, and of one thickness what fits closest
            let offered = survey.offer.pipe_insulation.indices().filter(fits).min_by(|&a, &b| {
                let [a, b] = [a, b].map(|index| &survey.offer.pipe_insulation[index]);
                let far = |fits_m: f64| (1000.0 * fits_m - outside_mm).abs();
                a.thickness_mm.total_cmp(&b.thickness_mm).then(far(a.fits_m).total_cmp(&far(b.fits_m)))
            });
            let found = offered.map(|index| survey.offer.pipe_insulation[index]);
            Lagged {
                thickness_mm: found.map_or(least_mm, |found| found.thickness_mm),
                conductivity_w_mk: found.map_or(usual_w_mk, |found| found.conductivity_w_mk),
                offered,
                is_wanting: offered.is_none(),
            }
        }
    }
}

/// Heat that a metre of tube gives off (W/m).
fn loss_w_m(
    survey: &Survey,
    tube: Index<Tube>,
    lagged: Lagged,
    difference_k: f64,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    let offered = &survey.offer.tubes[tube];
    if lagged.thickness_mm <= 0.0 {
        // beyond the sizes that the law is known for the nearest is taken
        let outside_mm = (1000.0 * offered.outside_m).clamp(pipe_loss::BARE_DIAMETER.min, pipe_loss::BARE_DIAMETER.max);
        return pipe_loss::bare(outside_mm, difference_k, w);
    }
    let pipe = Insulated {
        bore_mm: 1000.0 * offered.bore_m,
        outside_diameter_mm: 1000.0 * offered.outside_m,
        wall_w_mk: offered.wall_w_mk,
        insulation_mm: lagged.thickness_mm,
        insulation_w_mk: lagged.conductivity_w_mk,
    };
    let loss_w_mk = pipe_loss::insulated(pipe, w)?;
    Ok(pipe_loss::of_metre(loss_w_mk, difference_k, w))
}
