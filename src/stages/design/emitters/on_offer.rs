//! Radiators on offer: those that fit, what they give, and the cheapest that is enough.

use super::choice::fits;
use crate::catalogue::offer;
use crate::job::heating::EmitterChoice;
use crate::methods::Off;
use crate::methods::en_442::{self, Mean};
use crate::survey::{Hanging, Survey};

/// Those on offer that fit.
pub(super) fn fitting<'s>(survey: &'s Survey, hanging: &Hanging) -> impl Iterator<Item = &'s offer::Radiator> {
    let Hanging { is_towel_rail, fit_mm, .. } = *hanging;
    let offered = survey.offer.radiators.iter().filter(move |radiator| radiator.is_towel_rail == is_towel_rail);
    offered.filter(move |radiator| fits(radiator.size_mm, fit_mm))
}

/// What radiators give over their rated output at one excess temperature: few exponents are on offer, and a power takes longer than all
/// else that is asked of a product.
pub(super) struct Powers {
    mean: Mean,
    excess_k: f64,
    known: Vec<(f64, f64)>,
}

impl Powers {
    /// More than these are not looked through.
    const MOST: usize = 16;

    /// At an excess temperature by a mean (K).
    pub fn at(mean: Mean, excess_k: f64) -> Self {
        Self { mean, excess_k, known: Vec::new() }
    }

    /// What a watt of rated output gives by an exponent (W).
    pub fn of(&mut self, exponent: f64) -> f64 {
        if let Some((_, power)) = self.known.iter().find(|(known, _)| known.total_cmp(&exponent).is_eq()) {
            return *power;
        }
        let power = en_442::output(self.mean, 1.0, exponent, self.excess_k, &mut Off);
        if self.known.len() < Self::MOST {
            self.known.push((exponent, power));
        }
        power
    }
}

/// Whether nothing but cost and size decides, which is the common way.
pub(super) fn is_cheapest(survey: &Survey, hanging: &Hanging) -> bool {
    survey.heating.emitter_choice == EmitterChoice::LeastCost && hanging.oversize_max.is_infinite()
}

/// How many products are looked through for one; by cost some eight of them take as long as one that is weighed.
pub(super) fn offered(survey: &Survey, hanging: &Hanging) -> usize {
    if is_cheapest(survey, hanging) { survey.offer.worth_it.len() / 8 } else { survey.offer.radiators.len() }
}

/// The cheapest that is enough for a load (W), and of several the smallest, or the strongest where none is: those that may be
/// that stand by their cost.
pub(super) fn cheapest<'s>(
    survey: &'s Survey,
    hanging: &Hanging,
    load_w: f64,
    mut capacity_w: impl FnMut(&offer::Radiator) -> f64,
) -> Option<&'s offer::Radiator> {
    let Hanging { is_towel_rail, fit_mm, .. } = *hanging;
    let mut strongest: Option<(f64, &offer::Radiator)> = None;
    for radiator in &survey.offer.worth_it {
        if radiator.is_towel_rail != is_towel_rail || !fits(radiator.size_mm, fit_mm) {
            continue;
        }
        let gives_w = capacity_w(radiator);
        if gives_w >= load_w {
            return Some(radiator);
        }
        if strongest.is_none_or(|(most_w, _)| gives_w > most_w) {
            strongest = Some((gives_w, radiator));
        }
    }
    strongest.map(|(_, radiator)| radiator)
}
