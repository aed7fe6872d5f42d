//! What is round a pipe, and what it loses through that.

use crate::job::pipework::Place;
use crate::list::Index;
use crate::methods::pipe_loss::{self, Insulated};
use crate::methods::{MethodError, Off, Workings};
use crate::survey::offer::{PipeInsulation, Tube};
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

/// What goes round a tube of a run, where it lies in the open or where it does not.
pub(super) fn lagged(survey: &Survey, run: &Run, tube: Index<Tube>, is_open: bool) -> Lagged {
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
pub(super) fn loss_w_m(
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
    Ok(pipe_loss::of_metre(pipe_loss::insulated(pipe, w)?, difference_k, &mut Off))
}
