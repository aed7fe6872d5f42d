//! Floor loops cut from the coils on sale.

use super::ends::Loop;
use crate::catalogue::products::Product;
use crate::list::Index;
use crate::methods::cutting::{self, Coil, Cutting};
use crate::methods::{Budget, MethodError};
use crate::survey::Survey;

/// Loops of one tube and how they are cut.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeCutting {
    /// What the tube is on sale as: indices in the book, each with the length of its coil (m).
    pub coils: Vec<(Index<Product>, f64)>,
    /// The loops.
    pub loops: Vec<Loop>,
    /// How they are cut; nothing where one is longer than every coil.
    pub cutting: Option<Cutting>,
    /// The longest coil (m).
    pub longest_m: f64,
}

/// Cuts the loops of every tube.
pub(super) fn cut(survey: &Survey, loops: &[Loop], budget: &Budget) -> Result<Vec<TubeCutting>, MethodError> {
    let mut of_tubes: Vec<(Vec<Index<Product>>, Vec<Loop>)> = Vec::new();
    for one in loops {
        let Some(written) = survey.emitter(one.at).floor() else { continue };
        let coils = survey.book.coils_of(written.tube.product);
        match of_tubes.iter_mut().find(|(known, _)| *known == coils) {
            Some((_, of_tube)) => of_tube.push(*one),
            None => of_tubes.push((coils, vec![*one])),
        }
    }
    let cut = of_tubes.into_iter().map(|(products, loops)| {
        let on_sale = products.iter().map(|&product| coil(survey, product)).collect::<Result<Vec<_>, _>>()?;
        let coils = products.into_iter().zip(on_sale.iter().map(|coil| coil.length_m)).collect();
        let lengths_m: Vec<f64> = loops.iter().map(|one| one.length_m).collect();
        let longest_m = on_sale.iter().map(|coil| coil.length_m).fold(0.0, f64::max);
        let cutting = cutting::cut(&lengths_m, &on_sale, budget)?;
        Ok(TubeCutting { coils, loops, cutting, longest_m })
    });
    cut.collect()
}

/// A product as a coil; one that is no floor tube has no length, and nothing is cut from it.
fn coil(survey: &Survey, product: Index<Product>) -> Result<Coil, MethodError> {
    let (_, Product::FloorTube { pack_m, unit_cost, .. }) = survey.book.product(product) else {
        return Ok(Coil { length_m: 0.0, cost: 0 });
    };
    // the schema keeps prices between nothing and a thousand million
    let pennies = unit_cost.pennies().and_then(|pennies| u64::try_from(pennies).ok());
    let cost = pennies.ok_or(MethodError::Impossible { reason: "a coil's price must be an amount from nothing up" })?;
    Ok(Coil { length_m: *pack_m, cost })
}
