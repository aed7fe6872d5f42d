//! What is round a pipe, and what it loses through that.

use crate::job::pipework::Place;
use crate::methods::pipe_loss::{self, Insulated};
use crate::methods::{MethodError, Workings};
use crate::survey::{Lagging, Run, Survey};

/// What is round a tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lagged {
    /// Thickness (mm); 0 where it is bare.
    pub thickness_mm: f64,
    /// Thermal conductivity (W/(mK)).
    pub conductivity_w_mk: f64,
    /// Index into the insulation on offer, where it is of the price book.
    pub offered: Option<usize>,
    /// Whether the price book should have it and does not.
    pub is_wanting: bool,
}

/// Conductivity that is reckoned with where the price book has no insulation of the thickness (W/(mK)).
const USUAL_W_MK: f64 = 0.038;
/// How far the size of insulation may be from that of its tube (mm).
const FIT_MM: f64 = 1.0;

impl Lagged {
    /// Nothing.
    pub(super) const BARE: Self = Self { thickness_mm: 0.0, conductivity_w_mk: 0.0, offered: None, is_wanting: false };
}

/// Thickness that is usual in a place (mm); BS 5422 by name, the figures from memory, confirm.
fn usual_mm(place: Place) -> f64 {
    match place {
        Place::Bedroom | Place::Occupied => 13.0,
        Place::PlantRoom => 19.0,
        Place::Loft | Place::Unheated => 25.0,
        Place::Outdoors => 40.0,
    }
}

/// Whether part of a run lies in the open.
pub(super) fn is_in_the_open(survey: &Survey, run: &Run) -> bool {
    let primary = survey.pipes.primary.as_ref().filter(|primary| primary.run.at == run.at);
    run.place == Place::Outdoors || primary.is_some_and(|primary| primary.outdoor_m > 0.0)
}

/// What goes round a tube of a run.
pub(super) fn lagged(survey: &Survey, run: &Run, tube: usize) -> Lagged {
    match run.lagging {
        Lagging::Bare => Lagged::BARE,
        Lagging::Given(thickness_mm, conductivity_w_mk) => {
            Lagged { thickness_mm, conductivity_w_mk, offered: None, is_wanting: false }
        }
        Lagging::ByPlace => {
            let is_open = is_in_the_open(survey, run);
            let least_mm = usual_mm(if is_open { Place::Outdoors } else { run.place });
            let outside_mm = 1000.0 * survey.offer.tubes[tube].outside_m;
            let offered = survey.offer.pipe_insulation.iter().position(|insulation| {
                (1000.0 * insulation.fits_m - outside_mm).abs() < FIT_MM
                    && insulation.thickness_mm >= least_mm - 1e-9
                    && (insulation.for_outdoors || !is_open)
                    && (insulation.keeps_vapour_out || survey.cooling.is_none())
            });
            let found = offered.map(|index| survey.offer.pipe_insulation[index]);
            Lagged {
                thickness_mm: found.map_or(least_mm, |found| found.thickness_mm),
                conductivity_w_mk: found.map_or(USUAL_W_MK, |found| found.conductivity_w_mk),
                offered,
                is_wanting: offered.is_none(),
            }
        }
    }
}

/// Heat that a metre of tube gives off (W/m).
pub(super) fn loss_w_m(
    survey: &Survey,
    tube: usize,
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
    Ok(difference_k * pipe_loss::insulated(pipe, w)?)
}
