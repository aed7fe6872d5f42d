//! What heats the rooms.

use super::Gathering;
use super::assumed::Emitters as Assumed;
use super::heated_floors::HeatedFloor;
use crate::catalogue::Defaults;
use crate::catalogue::labour::Per;
use crate::catalogue::products::Product;
use crate::catalogue::provenance::Provenance;
use crate::intake::words::did_you_mean;
use crate::intake::{Fault, FaultCode};
use crate::job::emitters::{self as written, Connection, ExistingRadiator, Finish, Fit, Keep};
use crate::job::pipework::Manifold;
use crate::job::rooms::Room;
use crate::list::Index;
use crate::methods::en_442;
use crate::methods::math::round_significant;
use crate::notes::Stage;

/// Where the factors on a radiator's rated output are recalled from.
const FACTORS: &str = "practice of the heating trade";

/// How far from 1 shares may add up, for digits that are not written.
const ROUNDED: f64 = 0.005;

/// An emitter of a room.
#[derive(Debug, Clone, PartialEq)]
pub struct Emitter {
    /// Share of the room's loss that it carries.
    pub share: Share,
    /// What it is.
    pub kind: EmitterKind,
}

/// Share of a room's loss that an emitter carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Share {
    /// Given (0–1).
    Given(f64),
    /// Found with the emitters: each flow temperature has its own.
    Found,
}

impl Share {
    /// The share that is given (0–1).
    #[must_use]
    pub fn given(self) -> Option<f64> {
        match self {
            Self::Given(share) => Some(share),
            Self::Found => None,
        }
    }
}

impl Emitter {
    /// The heated floor, if it is one.
    #[must_use]
    pub fn floor(&self) -> Option<&HeatedFloor> {
        match &self.kind {
            EmitterKind::HeatedFloor(floor) => Some(floor),
            EmitterKind::Radiator { .. } | EmitterKind::FanConvector(_) => None,
        }
    }

    /// The radiator that hangs there now, if there is one.
    #[must_use]
    pub fn existing(&self) -> Option<Existing> {
        match self.kind {
            EmitterKind::Radiator { existing, .. } => existing,
            EmitterKind::FanConvector(_) | EmitterKind::HeatedFloor(_) => None,
        }
    }

    /// Where it hangs, if it is a radiator.
    #[must_use]
    pub fn hanging(&self) -> Option<&Hanging> {
        match &self.kind {
            EmitterKind::Radiator { hanging, .. } => Some(hanging),
            EmitterKind::FanConvector(_) | EmitterKind::HeatedFloor(_) => None,
        }
    }
}

/// What an emitter is.
#[derive(Debug, Clone, PartialEq)]
pub enum EmitterKind {
    /// A radiator.
    Radiator {
        /// Where it hangs.
        hanging: Hanging,
        /// The one that hangs there now.
        existing: Option<Existing>,
    },
    /// A fan convector.
    FanConvector(Blowing),
    /// A heated floor.
    HeatedFloor(Box<HeatedFloor>),
}

/// Where a radiator hangs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hanging {
    /// Greatest height, length and depth (mm); infinite where nothing limits them.
    pub fit_mm: [f64; 3],
    /// The same by sill and wall alone, which stay where they are (mm).
    pub walls_mm: [f64; 3],
    /// Whether a towel rail is wanted.
    pub is_towel_rail: bool,
    /// What lowers its rated output; nothing where nothing does.
    pub factors: Option<Factors>,
    /// Ratio of capacity to load above which it is told to be oversized; infinite where it never is.
    pub oversize_max: f64,
}

impl Hanging {
    /// Room on a wall for whatever is wanted.
    pub const ANYWHERE: Self = Self {
        fit_mm: [f64::INFINITY; 3],
        walls_mm: [f64::INFINITY; 3],
        is_towel_rail: false,
        factors: None,
        oversize_max: f64::INFINITY,
    };
}

/// Where a fan convector stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blowing {
    /// Greatest height, length and depth (mm); infinite where nothing limits them.
    pub fit_mm: [f64; 3],
    /// The same by sill and wall alone, which stay where they are (mm).
    pub walls_mm: [f64; 3],
    /// Greatest sound power level (dB); infinite where nothing limits it.
    pub sound_max_db: f64,
}

/// Factors on the rated output of a radiator (0–1).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factors {
    /// By its connection.
    pub connection: f64,
    /// By its finish.
    pub finish: f64,
    /// By what encloses it.
    pub enclosure: f64,
}

/// A radiator that hangs there now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Existing {
    /// Index in the book, if the book describes it.
    pub product: Option<Index<Product>>,
    /// Rated output (W).
    pub output_w: f64,
    /// Exponent.
    pub exponent: f64,
    /// Water content (l).
    pub water_l: f64,
    /// When it stays.
    pub keep: Keep,
}

/// Greatest height and length that sill and wall leave (mm).
fn walls_mm(fit: &Fit, defaults: &Defaults) -> [f64; 3] {
    let less = |limit: Option<f64>, free_mm: f64| limit.map_or(f64::INFINITY, |limit_mm| (limit_mm - free_mm).max(0.0));
    let sill_mm = defaults.below_radiator_mm.value + defaults.below_sill_mm.value;
    let valves_mm = 2.0 * defaults.radiator_valve_mm.value;
    [less(fit.sill_height_mm, sill_mm), less(fit.clear_wall_mm, valves_mm), f64::INFINITY]
}

impl Gathering<'_> {
    pub(super) fn emitters(&mut self, id: &str, room: &Room, inside_c: f64) -> Vec<Emitter> {
        let shares = self.shares(id, room);
        let mut emitters = Vec::with_capacity(room.emitters.len());
        let walls_mm = |fit: &Fit| walls_mm(fit, &self.catalogue.defaults);
        for ((emitter_id, emitter), share) in room.emitters.iter().zip(shares) {
            let at = format!("/rooms/{id}/emitters/{emitter_id}");
            let kind = match emitter {
                written::Emitter::Radiator {
                    fit,
                    towel_rail,
                    connection,
                    finish,
                    enclosure_factor,
                    oversize_max,
                    existing,
                    share: _,
                } => {
                    let is_towel_rail = *towel_rail == Some(true);
                    if is_towel_rail {
                        self.note_norm(&at, Per::TowelRail, "towel rail");
                    }
                    EmitterKind::Radiator {
                        hanging: Hanging {
                            fit_mm: fit.as_ref().map_or([f64::INFINITY; 3], |fit| self.fit_mm(&at, fit)),
                            walls_mm: fit.as_ref().map_or([f64::INFINITY; 3], walls_mm),
                            is_towel_rail,
                            factors: self.factors(&at, *connection, *finish, *enclosure_factor),
                            oversize_max: oversize_max.unwrap_or(f64::INFINITY),
                        },
                        existing: existing.as_ref().and_then(|existing| self.existing(&at, existing)),
                    }
                }
                written::Emitter::FanConvector { fit, sound_max_db, share: _ } => {
                    self.note_norm(&at, Per::FanConvector, "fan convector");
                    EmitterKind::FanConvector(Blowing {
                        fit_mm: fit.as_ref().map_or([f64::INFINITY; 3], |fit| self.fit_mm(&at, fit)),
                        walls_mm: fit.as_ref().map_or([f64::INFINITY; 3], walls_mm),
                        sound_max_db: sound_max_db.unwrap_or(f64::INFINITY),
                    })
                }
                written::Emitter::HeatedFloor { .. } => match self.heated_floor(&at, id, emitter, inside_c) {
                    Some(floor) => EmitterKind::HeatedFloor(Box::new(floor)),
                    None => continue,
                },
            };
            emitters.push(Emitter { share, kind });
        }
        emitters
    }

    /// Notes that the price book has no labour norm for a kind of emitter.
    fn note_norm(&mut self, at: &str, per: Per, words: &'static str) {
        if !self.book.labour.counts(per) && self.book.labour.counts(Per::Radiator) {
            let before = self.notes.enter(Stage::Estimate);
            self.notes.add(&Assumed::LabourNorm { at: at.into(), per: words });
            self.notes.enter(before);
        }
    }

    /// The share of each emitter: as the job says; what is left for the one that it says nothing of, and found for several.
    fn shares(&mut self, id: &str, room: &Room) -> Vec<Share> {
        let mut given: Vec<Option<f64>> = room.emitters.values().map(written::Emitter::share).collect();
        let mut taken: f64 = given.iter().flatten().sum();
        let silent = given.iter().filter(|share| share.is_none()).count();
        let at = format!("/rooms/{id}/emitters");
        let is_whole = (taken - 1.0).abs() <= ROUNDED;
        if is_whole {
            // thirds and the like, written with few digits
            given.iter_mut().flatten().for_each(|share| *share /= taken);
            taken = 1.0;
        }
        if taken > 1.0 || (silent == 0 && !given.is_empty() && !is_whole) {
            let sum = round_significant(taken, 6);
            let detail = format!(
                "the emitters' shares of the room's loss add up to {sum}, not to 1; one that is left out takes what the others leave"
            );
            self.faults.push(Fault::new(at.clone(), FaultCode::SharesDoNotAddUp, detail).limit(1.0));
        }
        if silent > 1 {
            let found = room.emitters.iter().filter(|(_, emitter)| emitter.share().is_none());
            let names: Vec<&str> = found.map(|(id, _)| id.as_str()).collect();
            self.notes.add(&Assumed::SharesFound { at: at.into(), emitters: names.join(" and ") });
        }
        let left = (1.0 - taken).max(0.0);
        let silent_one = if silent == 1 { Share::Given(left) } else { Share::Found };
        given.into_iter().map(|share| share.map_or(silent_one, Share::Given)).collect()
    }

    /// Greatest height, length and depth of a radiator (mm), with what is left free about it.
    fn fit_mm(&mut self, at: &str, fit: &Fit) -> [f64; 3] {
        let defaults = &self.catalogue.defaults;
        if fit.sill_height_mm.is_some() {
            let (below, over) = (&defaults.below_radiator_mm, &defaults.below_sill_mm);
            let (below_mm, below_sill_mm, origin) = (below.value, over.value, over.provenance.clone());
            self.notes.add(&Assumed::BelowSill { at: at.into(), below_mm, below_sill_mm, origin });
        }
        if fit.clear_wall_mm.is_some() {
            let valve = &defaults.radiator_valve_mm;
            let (valve_mm, origin) = (valve.value, valve.provenance.clone());
            self.notes.add(&Assumed::Valves { at: at.into(), valve_mm, origin });
        }
        let given = [fit.height_max_mm, fit.length_max_mm, fit.depth_max_mm];
        let walls_mm = walls_mm(fit, defaults);
        std::array::from_fn(|side| given[side].unwrap_or(f64::INFINITY).min(walls_mm[side]))
    }

    /// What lowers the rated output of a radiator.
    fn factors(
        &mut self,
        at: &str,
        connection: Option<Connection>,
        finish: Option<Finish>,
        enclosure: Option<f64>,
    ) -> Option<Factors> {
        let connection = match connection {
            None | Some(Connection::SameEnd | Connection::TopBottomOppositeEnds) => 1.0,
            Some(Connection::BottomOppositeEnds) => {
                let factor = en_442::BOTTOM_OPPOSITE_ENDS;
                let origin = Provenance::from_memory(FACTORS);
                self.notes.add(&Assumed::Connection { at: at.into(), factor, origin });
                factor
            }
        };
        let finish = match finish {
            None | Some(Finish::Standard) => 1.0,
            Some(Finish::Metallic) => {
                let factor = en_442::METALLIC_PAINT;
                let origin = Provenance::from_memory(FACTORS);
                self.notes.add(&Assumed::Finish { at: at.into(), factor, origin });
                factor
            }
        };
        let enclosure = enclosure.unwrap_or(self.catalogue.defaults.radiator_enclosure_factor.value);
        let factors = Factors { connection, finish, enclosure };
        [connection, finish, enclosure].iter().any(|factor| *factor < 1.0).then_some(factors)
    }

    fn existing(&mut self, at: &str, existing: &ExistingRadiator) -> Option<Existing> {
        match existing {
            ExistingRadiator::Rated { output_w, exponent, water_l, keep } => Some(Existing {
                product: None,
                output_w: *output_w,
                exponent: exponent.unwrap_or_else(|| {
                    let default = &self.catalogue.defaults.existing_radiator_exponent;
                    let (exponent, origin) = (default.value, default.provenance.clone());
                    self.notes.add(&Assumed::Exponent { at: at.into(), exponent, origin });
                    exponent
                }),
                water_l: *water_l,
                keep: *keep,
            }),
            ExistingRadiator::Product { product, keep } => {
                let found = self.offer.radiators.iter().find(|radiator| self.is_product(radiator.product, product));
                match found {
                    Some(&crate::catalogue::offer::Radiator { product, output_w, exponent, water_l, .. }) => {
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

    pub(super) fn is_product(&self, index: Index<Product>, code: &str) -> bool {
        self.book.product(index).0 == code
    }

    /// Codes of a kind of product in plain words, those most like a code first.
    fn codes(&self, kind: &str, like: &str) -> String {
        const MOST: usize = 12;
        let of_kind = self.book.products.iter().filter(|(_, product)| product.kind() == kind);
        let mut codes: Vec<&str> = of_kind.map(|(code, _)| code.as_str()).collect();
        match codes.len() {
            0 => "none of that kind".to_owned(),
            1..=MOST => codes.join(", "),
            all => {
                codes.sort_by_cached_key(|code| strsim::damerau_levenshtein(code, like));
                format!("{} and {} more", codes[..MOST].join(", "), all - MOST)
            }
        }
    }

    pub(super) fn unknown_product(&mut self, at: &str, code: &str, kind: &str) {
        let spelled = kind.replace(' ', "_");
        let known = self.codes(&spelled, code);
        let of_kind = self.book.products.iter().filter(|(_, product)| product.kind() == spelled);
        let meant = did_you_mean(code, of_kind.map(|(code, _)| code.as_str()));
        let detail = format!("the price book has no {kind} {code}; it has {known}{meant}");
        let fault = Fault::new(at, FaultCode::UnknownProduct, detail);
        self.faults.push(fault.rests_on(format!("/commercial/price_book/products/{code}")));
    }

    pub(super) fn manifold(&mut self, at: &str, id: &str) -> Option<Index<Manifold>> {
        let found = self.job.pipework.as_ref().and_then(|pipework| pipework.manifolds.get_index_of(id));
        if found.is_none() {
            let known = self.job.pipework.iter().flat_map(|pipework| pipework.manifolds.keys());
            let meant = did_you_mean(id, known.map(String::as_str));
            let detail = format!("there is no manifold {id} in the pipework{meant}");
            let fault = Fault::new(at, FaultCode::UnknownManifold, detail);
            self.faults.push(fault.rests_on(format!("/pipework/manifolds/{id}")));
        }
        found.map(Index::new)
    }
}
