//! Radiators that are worth a look where the cheapest that is enough is sought.

use super::offer::Radiator;
use crate::list::List;

/// The radiators of an offer without those for which another of the same exponent gives as much, is no larger on any side and
/// costs less, the cheapest first and of those that cost the same the weakest: of those that are enough the cheapest is never
/// among what is left out, and where none is enough neither is the strongest.
pub(super) fn undominated(radiators: &List<Radiator>) -> Vec<Radiator> {
    let all: Vec<&Radiator> = radiators.iter().collect();
    let mut order: Vec<usize> = (0..all.len()).collect();
    // whatever leaves one out comes before it
    order.sort_by(|&a, &b| {
        let (one, other) = (all[a], all[b]);
        one.cost.cmp(&other.cost).then(other.output_w.total_cmp(&one.output_w)).then(a.cmp(&b))
    });
    let mut kept: Vec<usize> = Vec::new();
    for number in order {
        if !kept.iter().any(|&better| outdoes(all[better], all[number])) {
            kept.push(number);
        }
    }
    kept.sort_by(|&a, &b| {
        let (one, other) = (all[a], all[b]);
        one.cost.cmp(&other.cost).then(one.output_w.total_cmp(&other.output_w)).then(a.cmp(&b))
    });
    kept.into_iter().map(|number| *all[number]).collect()
}

/// Whether one, which costs no more and comes first where all is alike, leaves nothing that another is taken for.
fn outdoes(one: &Radiator, other: &Radiator) -> bool {
    let is_alike = one.is_towel_rail == other.is_towel_rail && one.exponent.total_cmp(&other.exponent).is_eq();
    let fits = one.size_mm.iter().zip(other.size_mm).all(|(side_mm, other_mm)| *side_mm <= other_mm);
    // of two that cost the same the smaller is taken, so a stronger one does not outdo it
    let gives_as_much = if one.cost < other.cost {
        one.output_w >= other.output_w
    } else {
        one.output_w.total_cmp(&other.output_w).is_eq()
    };
    is_alike && fits && gives_as_much
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::list::Index;
    use crate::methods::math::pow;
    use crate::money::Money;

    /// The cheapest of those that fit and are enough, then the smallest, then the first; where none is enough the strongest, then the
    /// cheapest.
    fn taken(radiators: &[Radiator], load_w: f64, fit_mm: f64, excess: f64) -> Option<Radiator> {
        let capacity_w = |radiator: &Radiator| radiator.output_w * pow(excess, radiator.exponent);
        let fit = radiators.iter().filter(|radiator| !radiator.is_towel_rail && radiator.size_mm[1] <= fit_mm);
        let (enough, short): (Vec<&Radiator>, Vec<&Radiator>) =
            fit.partition(|radiator| capacity_w(radiator) >= load_w);
        let cheapest =
            enough.into_iter().min_by(|a, b| a.cost.cmp(&b.cost).then(a.output_w.total_cmp(&b.output_w))).copied();
        let strongest = || {
            let best = |a: &&Radiator, b: &&Radiator| capacity_w(b).total_cmp(&capacity_w(a)).then(a.cost.cmp(&b.cost));
            short.into_iter().min_by(best).copied()
        };
        cheapest.or_else(strongest)
    }

    prop_compose! {
        fn radiator()(
            size in 4..12_u8, hundreds in 1..20_u8, exponent in 0..2_usize, rail in 0..8_u8, tens in 1..12_i64,
        ) -> Radiator {
            let long_mm = 100.0 * f64::from(size);
            Radiator {
                product: Index::new(0),
                size_mm: [600.0, long_mm, 100.0],
                output_w: 100.0 * f64::from(hundreds),
                exponent: [1.28, 1.33][exponent],
                water_l: 3.0,
                is_towel_rail: rail == 0,
                cost: Money::from_pennies(1000 * tens),
            }
        }
    }

    proptest! {
        #[test]
        fn the_same_is_taken_as_from_all(
            mut all in prop::collection::vec(radiator(), 1..40), load_w in 0.0..1500.0_f64, fit in 3..13_u8, excess in 0.2..1.0_f64,
        ) {
            all.iter_mut().enumerate().for_each(|(number, radiator)| radiator.product = Index::new(number));
            let list: List<Radiator> = all.iter().copied().collect();
            let kept = undominated(&list);
            let fit_mm = 100.0 * f64::from(fit);
            prop_assert_eq!(taken(&kept, load_w, fit_mm, excess), taken(&all, load_w, fit_mm, excess));
            // by cost: the first that is enough is the one
            let is_fit = |radiator: &&Radiator| !radiator.is_towel_rail && radiator.size_mm[1] <= fit_mm;
            let first = kept.iter().filter(is_fit).find(|one| one.output_w * pow(excess, one.exponent) >= load_w);
            prop_assert!(first.is_none_or(|first| taken(&all, load_w, fit_mm, excess).as_ref() == Some(first)));
            prop_assert_eq!(undominated(&kept.iter().copied().collect()), kept);
        }
    }
}
