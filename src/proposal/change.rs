//! One change to one emitter that may lower the flow temperature of its house.

use crate::design::emitters::{Emitters, Kind};
use crate::job::emitters::Keep;
use crate::survey::{EmitterKind, Share, Survey};

/// By how much pipes are laid closer (m).
const CLOSER_M: f64 = 0.05;
/// Closest spacing that is proposed (m): tube of 16 mm bends no closer without kinks (common practice).
const CLOSEST_M: f64 = 0.1;
/// Resistance of the covering that is proposed (m²K/W): 13 mm of tile.
const TILE_M2K_W: f64 = 0.01;
/// Share of a room's loss that is moved to another emitter in it (0–1).
const MOVED: f64 = 0.1;
/// What the three limits of a fit are called.
const WAYS: [&str; 3] = ["high", "long", "deep"];

/// An emitter: its room, and which of the room's it is.
pub(super) type At = (usize, usize);

/// A change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Change {
    /// Limits of the fit of a radiator or fan convector are lifted: of height, length and depth.
    Larger([bool; 3]),
    /// A radiator that stays in any case may be replaced.
    Replaced,
    /// Pipes may be laid as close as this (m).
    Closer(f64),
    /// Another covering.
    Thinner,
    /// A tenth of the room's loss goes to another of its emitters.
    Moved(usize),
}

impl Change {
    /// Those that an emitter can take.
    pub(super) fn all(survey: &Survey, (room, which): At) -> Vec<Self> {
        let emitter = &survey.rooms[room].emitters[which];
        let mut all = Vec::new();
        match &emitter.kind {
            EmitterKind::Radiator { hanging, existing } => {
                if existing.is_some_and(|existing| existing.keep == Keep::Always) {
                    all.push(Self::Replaced);
                }
                all.extend(lifted(hanging.fit_mm));
            }
            EmitterKind::FanConvector(blowing) => all.extend(lifted(blowing.fit_mm)),
            EmitterKind::HeatedFloor(floor) => {
                let closest_m = floor.spacings_m.last().copied().unwrap_or(CLOSEST_M);
                if closest_m > CLOSEST_M + 1e-9 {
                    all.push(Self::Closer((closest_m - CLOSER_M).max(CLOSEST_M)));
                }
                if floor.covering_m2k_w > TILE_M2K_W + 1e-9 {
                    all.push(Self::Thinner);
                }
            }
        }
        all.extend(other(survey, (room, which)).map(Self::Moved));
        all
    }

    /// The survey with the change made.
    pub(super) fn made(self, survey: &Survey, (room, which): At) -> Survey {
        let mut changed = survey.clone();
        let emitters = &mut changed.rooms[room].emitters;
        match (self, &mut emitters[which].kind) {
            (Self::Larger(lifted), EmitterKind::Radiator { hanging, .. }) => lift(&mut hanging.fit_mm, lifted),
            (Self::Larger(lifted), EmitterKind::FanConvector(blowing)) => lift(&mut blowing.fit_mm, lifted),
            (Self::Replaced, EmitterKind::Radiator { existing: Some(existing), .. }) => existing.keep = Keep::IfEnough,
            (Self::Closer(closer_m), EmitterKind::HeatedFloor(floor)) => floor.spacings_m.push(closer_m),
            (Self::Thinner, EmitterKind::HeatedFloor(floor)) => {
                floor.covering_m2k_w = TILE_M2K_W;
                let [occupied_c, edge_c] = floor.bare_limits_c;
                floor.surface_limit_c = occupied_c;
                if let Some(edge) = &mut floor.edge {
                    edge.surface_limit_c = edge_c;
                }
            }
            (Self::Moved(other), _) => {
                for (emitter, by) in [(which, -MOVED), (other, MOVED)] {
                    if let Share::Given(share) = &mut emitters[emitter].share {
                        *share += by;
                    }
                }
            }
            // none of these is among `all` of such an emitter
            (
                Self::Larger(_) | Self::Replaced | Self::Closer(_) | Self::Thinner,
                EmitterKind::Radiator { .. } | EmitterKind::FanConvector(_) | EmitterKind::HeatedFloor(_),
            ) => {}
        }
        changed
    }

    /// Its name in answers.
    pub(super) fn word(self, survey: &Survey, (room, which): At) -> &'static str {
        match (self, &survey.rooms[room].emitters[which].kind) {
            (Self::Larger(_), EmitterKind::FanConvector(_)) => "larger_fan_convector",
            (Self::Larger(_), EmitterKind::Radiator { .. } | EmitterKind::HeatedFloor(_)) => "larger_radiator",
            (Self::Replaced, _) => "replaced_radiator",
            (Self::Closer(_), _) => "closer_spacing",
            (Self::Thinner, _) => "thinner_covering",
            (Self::Moved(_), _) => "share_moved",
        }
    }

    /// Code of the radiator or fan convector that was found once it was made, where it is about one.
    pub(super) fn product(self, survey: &Survey, (room, which): At, then: &Emitters) -> Option<String> {
        match self {
            Self::Larger(_) | Self::Replaced => {
                let product = product_of(&then.rooms[room][which].kind)?;
                survey.book.products.get_index(product).map(|(code, _)| code.clone())
            }
            Self::Closer(_) | Self::Thinner | Self::Moved(_) => None,
        }
    }

    /// Spacing that pipes are laid at (mm).
    pub(super) fn spacing_mm(self) -> Option<f64> {
        if let Self::Closer(closer_m) = self { Some(1000.0 * closer_m) } else { None }
    }

    /// Resistance of the covering (m²K/W).
    pub(super) fn resistance_m2k_w(self) -> Option<f64> {
        (self == Self::Thinner).then_some(TILE_M2K_W)
    }

    /// Id of the emitter that a tenth of the room's loss goes to.
    pub(super) fn to_emitter(self, survey: &Survey, (room, _): At) -> Option<String> {
        if let Self::Moved(other) = self { Some(survey.names.emitters[room][other].clone()) } else { None }
    }

    /// The change in words, with what was found once it was made.
    pub(super) fn detail(self, survey: &Survey, (room, which): At, then: &Emitters) -> String {
        let (name, emitter) = (&survey.names.rooms[room], &survey.rooms[room].emitters[which]);
        match self {
            Self::Larger(_) => {
                let fit_mm = match &emitter.kind {
                    EmitterKind::Radiator { hanging, .. } => hanging.fit_mm,
                    EmitterKind::FanConvector(blowing) => blowing.fit_mm,
                    EmitterKind::HeatedFloor(_) => [f64::INFINITY; 3],
                };
                format!("find room in {name} for {}", larger(survey, &then.rooms[room][which].kind, fit_mm))
            }
            Self::Replaced => {
                format!("hang {} in {name}, where the old one stays", product(survey, &then.rooms[room][which].kind))
            }
            Self::Closer(closer_m) => format!("lay the pipes of {name} {:.0} mm apart", 1000.0 * closer_m),
            Self::Thinner => {
                let now = emitter.floor().map_or(0.0, |floor| floor.covering_m2k_w);
                format!("cover the floor of {name} with {TILE_M2K_W} m²K/W, as tile has, not {now:.3}")
            }
            Self::Moved(other) => {
                let (from, to) = (&survey.names.emitters[room][which], &survey.names.emitters[room][other]);
                format!("let {to} carry {:.0} % more of the loss of {name}, and {from} as much less", 100.0 * MOVED)
            }
        }
    }
}

/// Each limit of a fit lifted by itself, then all of them.
fn lifted(fit_mm: [f64; 3]) -> Vec<Change> {
    let limited = fit_mm.map(f64::is_finite);
    let only = |way: usize| std::array::from_fn(|other| other == way);
    let mut lifted: Vec<Change> = (0..3).filter(|way| limited[*way]).map(|way| Change::Larger(only(way))).collect();
    if lifted.len() > 1 {
        lifted.push(Change::Larger([true; 3]));
    }
    lifted
}

fn lift(fit_mm: &mut [f64; 3], lifted: [bool; 3]) {
    for (limit_mm, _) in fit_mm.iter_mut().zip(lifted).filter(|(_, is_lifted)| *is_lifted) {
        *limit_mm = f64::INFINITY;
    }
}

/// The emitter of the same room that takes a part of the share: one whose share is found, or the one of the largest. Nothing
/// where neither share is given, or the emitter's own is too small.
fn other(survey: &Survey, (room, which): At) -> Option<usize> {
    let emitters = &survey.rooms[room].emitters;
    let others = || (0..emitters.len()).filter(|other| *other != which);
    let given = |other: &usize| emitters[*other].share.given();
    let largest = || {
        let shares = others().filter_map(|other| Some((other, given(&other)?)));
        shares.filter(|(_, share)| share + MOVED <= 1.0).max_by(|(_, a), (_, b)| a.total_cmp(b)).map(|(other, _)| other)
    };
    match emitters[which].share {
        Share::Given(share) if share <= MOVED => None,
        Share::Given(_) => others().find(|other| given(other).is_none()).or_else(largest),
        Share::Found => largest(),
    }
}

/// Index in the book of a radiator or fan convector.
fn product_of(kind: &Kind) -> Option<usize> {
    match kind {
        Kind::Radiator(radiator) => radiator.and_then(|radiator| radiator.product),
        Kind::FanConvector(unit) => unit.map(|unit| unit.product),
        Kind::Floor(_) => None,
    }
}

/// A radiator or fan convector with its code and description.
fn product(survey: &Survey, kind: &Kind) -> String {
    let product = product_of(kind).and_then(|product| survey.book.products.get_index(product));
    product.map_or_else(|| "another".to_owned(), |(code, product)| format!("{code} ({})", product.description()))
}

/// The same, with the limits of the fit that it goes beyond.
fn larger(survey: &Survey, kind: &Kind, fit_mm: [f64; 3]) -> String {
    let offer = &survey.offer;
    let size_mm = product_of(kind).and_then(|product| {
        let radiators = offer.radiators.iter().map(|radiator| (radiator.product, radiator.size_mm));
        let units = offer.fan_convectors.iter().map(|unit| (unit.product, unit.size_mm));
        radiators.chain(units).find(|(offered, _)| *offered == product).map(|(_, size_mm)| size_mm)
    });
    let sides = size_mm.into_iter().flat_map(|size_mm| size_mm.into_iter().zip(fit_mm).zip(WAYS));
    let beyond = sides.filter(|((side_mm, limit_mm), _)| side_mm > limit_mm);
    let beyond: Vec<String> =
        beyond.map(|((side_mm, limit_mm), way)| format!("{side_mm} mm {way} where {limit_mm} mm fit")).collect();
    format!("{}: {}", product(survey, kind), beyond.join(", "))
}
