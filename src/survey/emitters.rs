//! What heats the rooms.

use super::Gathering;
use super::heated_floors::HeatedFloor;
use crate::intake::Fault;
use crate::job::emitters::{self as written, ExistingRadiator, Fit, Keep};
use crate::job::rooms::Room;

/// An emitter of a room.
#[derive(Debug, Clone, PartialEq)]
pub struct Emitter {
    /// Share of the room's loss that it carries (0–1).
    pub share: f64,
    /// What it is.
    pub kind: EmitterKind,
}

impl Emitter {
    /// The heated floor, if it is one.
    #[must_use]
    pub fn floor(&self) -> Option<&HeatedFloor> {
        match &self.kind {
            EmitterKind::HeatedFloor(floor) => Some(floor),
            EmitterKind::Radiator { .. } => None,
        }
    }
}

/// What an emitter is.
#[derive(Debug, Clone, PartialEq)]
pub enum EmitterKind {
    /// A radiator.
    Radiator {
        /// Greatest height, length and depth (mm); infinite where nothing limits them.
        fit_mm: [f64; 3],
        /// The one that hangs there now.
        existing: Option<Existing>,
    },
    /// A heated floor.
    HeatedFloor(Box<HeatedFloor>),
}

/// A radiator that hangs there now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Existing {
    /// Index in the book, if the book describes it.
    pub product: Option<usize>,
    /// Rated output (W).
    pub output_w: f64,
    /// Exponent.
    pub exponent: f64,
    /// Water content (l).
    pub water_l: f64,
    /// When it stays.
    pub keep: Keep,
}

impl Gathering<'_> {
    pub(super) fn emitters(&mut self, id: &str, room: &Room, inside_c: f64) -> Vec<Emitter> {
        let shares = self.shares(id, room);
        let mut emitters = Vec::with_capacity(room.emitters.len());
        for ((emitter_id, emitter), share) in room.emitters.iter().zip(shares) {
            let at = format!("/rooms/{id}/emitters/{emitter_id}");
            let kind = match emitter {
                written::Emitter::Radiator { fit, existing, .. } => EmitterKind::Radiator {
                    fit_mm: fit.as_ref().map_or([f64::INFINITY; 3], fit_mm),
                    existing: existing.as_ref().and_then(|existing| self.existing(&at, existing)),
                },
                written::Emitter::HeatedFloor { .. } => match self.heated_floor(&at, id, emitter, inside_c) {
                    Some(floor) => EmitterKind::HeatedFloor(Box::new(floor)),
                    None => continue,
                },
            };
            emitters.push(Emitter { share, kind });
        }
        emitters
    }

    /// The share of each emitter: as the job says, and what is left in equal parts for the others.
    fn shares(&mut self, id: &str, room: &Room) -> Vec<f64> {
        let given: Vec<Option<f64>> = room.emitters.values().map(written::Emitter::share).collect();
        let taken: f64 = given.iter().flatten().sum();
        let silent = given.iter().filter(|share| share.is_none()).count();
        let whole = (taken - 1.0).abs() < 1e-9;
        if !given.is_empty() && (taken > 1.0 + 1e-9 || (silent == 0 && !whole)) {
            let at = format!("/rooms/{id}/emitters");
            let detail = format!("the emitters' shares of the room's loss add up to {taken}, not to 1");
            self.faults.push(Fault::new(at.clone(), "shares_do_not_add_up", detail).limit(1.0).rests_on(at));
        }
        let left = given.iter().filter(|share| share.is_none()).map(|_| 1.0).sum::<f64>();
        given.into_iter().map(|share| share.unwrap_or_else(|| (1.0 - taken).max(0.0) / left)).collect()
    }

    fn existing(&mut self, at: &str, existing: &ExistingRadiator) -> Option<Existing> {
        match existing {
            ExistingRadiator::Rated { output_w, exponent, water_l, keep } => Some(Existing {
                product: None,
                output_w: *output_w,
                exponent: *exponent,
                water_l: *water_l,
                keep: *keep,
            }),
            ExistingRadiator::Product { product, keep } => {
                let found = self.offer.radiators.iter().find(|radiator| self.is_product(radiator.product, product));
                match found {
                    Some(&super::offer::Radiator { product, output_w, exponent, water_l, .. }) => {
                        Some(Existing { product: Some(product), output_w, exponent, water_l, keep: *keep })
                    }
                    None => {
                        self.unknown_product(&format!("{at}/existing/product"), product, "radiator");
                        None
                    }
                }
            }
        }
    }

    pub(super) fn is_product(&self, index: usize, code: &str) -> bool {
        self.book.products.get_index(index).is_some_and(|(known, _)| known == code)
    }

    /// Codes of a kind of product, in plain words.
    fn codes(&self, kind: &str) -> String {
        const MOST: usize = 12;
        let of_kind = self.book.products.iter().filter(|(_, product)| product.kind() == kind);
        let codes: Vec<&str> = of_kind.map(|(code, _)| code.as_str()).collect();
        match codes.len() {
            0 => "none of that kind".to_owned(),
            1..=MOST => codes.join(", "),
            all => format!("{} and {} more", codes[..MOST].join(", "), all - MOST),
        }
    }

    pub(super) fn unknown_product(&mut self, at: &str, code: &str, kind: &str) {
        let known = self.codes(&kind.replace(' ', "_"));
        let fault = Fault::new(at, "unknown_product", format!("the price book has no {kind} {code}; it has {known}"));
        self.faults.push(fault.rests_on(format!("/commercial/price_book/products/{code}")));
    }

    pub(super) fn manifold(&mut self, at: &str, id: &str) -> Option<usize> {
        let found = self.job.pipework.as_ref().and_then(|pipework| pipework.manifolds.get_index_of(id));
        if found.is_none() {
            let fault = Fault::new(at, "unknown_manifold", format!("there is no manifold {id} in the pipework"));
            self.faults.push(fault.rests_on(format!("/pipework/manifolds/{id}")));
        }
        found
    }
}

fn fit_mm(fit: &Fit) -> [f64; 3] {
    [fit.height_max_mm, fit.length_max_mm, fit.depth_max_mm].map(|limit| limit.unwrap_or(f64::INFINITY))
}
