//! Changes in words, with what was found once they were made.

use super::ChangeStep;
use super::change::{At, Change, HUNG, Step};
use crate::design::emitters::{Emitters, Kind};
use crate::list::Index;
use crate::survey::Emitter;
use crate::survey::{EmitterKind, Survey};

/// What the three limits of a fit are called.
const WAYS: [&str; 3] = ["high", "long", "deep"];

/// A step as it is told: `survey` is the job as it stands, `then` what was found once everything was made.
pub(super) fn step(survey: &Survey, (at, change): Step, then: &Emitters) -> ChangeStep {
    let At { room, emitter: which } = at;
    let found = change.found(at, then);
    let emitter = survey.names.emitters[room].get(which).map_or(HUNG, String::as_str);
    let mut step = ChangeStep {
        change: word(survey, at, change).into(),
        room: survey.names.rooms[room].clone(),
        emitter: emitter.to_owned(),
        detail: detail(survey, at, change, found),
        product: None,
        sound_max_db: None,
        spacing_mm: None,
        resistance_m2k_w: None,
        to_emitter: None,
        share: None,
        to_share: None,
    };
    match change {
        Change::Larger(_) | Change::Replaced(_) | Change::Beside | Change::Hung => {
            let product = found.product().map(|(product, _)| survey.book.product(product));
            step.product = product.map(|(code, _)| code.to_owned());
        }
        Change::Louder => step.sound_max_db = sound_db(found),
        Change::Closer(closer_m) => step.spacing_mm = Some(1000.0 * closer_m),
        Change::Thinner => step.resistance_m2k_w = Some(survey.defaults.change_covering_m2k_w.value),
        Change::Moved(other) => {
            let share = |which: Index<Emitter>, by: f64| {
                survey.rooms[room].emitters[which].share.given().map(|share| share + by)
            };
            step.to_emitter = Some(survey.names.emitters[room][other].clone());
            let moved = survey.defaults.change_moved_share.value;
            (step.share, step.to_share) = (share(which, -moved), share(other, moved));
        }
        Change::AsRated => {}
    }
    step
}

/// Its name in answers.
fn word(survey: &Survey, At { room, emitter: which }: At, change: Change) -> &'static str {
    let is_fan = || matches!(survey.rooms[room].emitters[which].kind, EmitterKind::FanConvector(_));
    match change {
        Change::Larger(_) if is_fan() => "larger_fan_convector",
        Change::Larger(_) => "larger_radiator",
        Change::Louder => "louder_fan_convector",
        Change::Replaced(_) => "replaced_radiator",
        Change::AsRated => "radiator_as_rated",
        Change::Beside => "radiator_beside",
        Change::Hung => "radiator_hung",
        Change::Closer(_) => "closer_spacing",
        Change::Thinner => "thinner_covering",
        Change::Moved(_) => "share_moved",
    }
}

fn detail(survey: &Survey, At { room, emitter: which }: At, change: Change, found: &Kind) -> String {
    if change == Change::Hung {
        return format!("hang {} in {}, which has no emitter", product(survey, found), survey.names.rooms[room]);
    }
    let (emitter, id) = (&survey.rooms[room].emitters[which], &survey.names.emitters[room][which]);
    let name = match survey.rooms[room].emitters.len() {
        0 | 1 => survey.names.rooms[room].clone(),
        _ => format!("{} ({id})", survey.names.rooms[room]),
    };
    let fit_mm = match &emitter.kind {
        EmitterKind::Radiator { hanging, .. } => hanging.fit_mm,
        EmitterKind::FanConvector(blowing) => blowing.fit_mm,
        EmitterKind::HeatedFloor(_) => [f64::INFINITY; 3],
    };
    let product = product(survey, found);
    let beyond = beyond(survey, found, fit_mm);
    match change {
        Change::Larger(_) => format!("find room in {name} for {product}{beyond}"),
        Change::Louder => {
            let most_db = match &emitter.kind {
                EmitterKind::FanConvector(blowing) => blowing.sound_max_db,
                EmitterKind::Radiator { .. } | EmitterKind::HeatedFloor(_) => f64::INFINITY,
            };
            let then_db = sound_db(found).unwrap_or(most_db);
            format!("let the fan convector of {name} be as loud as {then_db} dB, where {most_db} dB are allowed")
        }
        Change::Replaced(_) => {
            format!("hang {product} in {name} in the place of the radiator that was to stay{beyond}")
        }
        Change::AsRated => format!("in {name}, {}", as_rated(&emitter.kind)),
        Change::Beside | Change::Hung => {
            let other = if emitter.floor().is_some() { "underfloor heating" } else { "towel rail" };
            format!("hang {product} in {name} beside the {other}, and let both share the loss")
        }
        Change::Closer(closer_m) => format!("lay the pipes of {name} {:.0} mm apart", 1000.0 * closer_m),
        Change::Thinner => {
            let now = emitter.floor().map_or(0.0, |floor| floor.covering_m2k_w);
            let tile_m2k_w = survey.defaults.change_covering_m2k_w.value;
            format!("cover the floor of {name} with {tile_m2k_w} m²K/W, as tile has, not {now:.3}")
        }
        Change::Moved(other) => {
            let share = |which: Index<Emitter>, by: f64| {
                let (id, share) =
                    (&survey.names.emitters[room][which], survey.rooms[room].emitters[which].share.given());
                share.map_or_else(|| format!("{id} what is left"), |share| format!("{id} {:.3}", share + by))
            };
            let name = &survey.names.rooms[room];
            let moved = survey.defaults.change_moved_share.value;
            format!("of the loss of {name} let {} and {} be the shares", share(which, -moved), share(other, moved))
        }
    }
}

/// What brings a radiator to what it was rated at, of its factors.
fn as_rated(kind: &EmitterKind) -> String {
    let EmitterKind::Radiator { hanging, .. } = kind else { return String::new() };
    let Some(factors) = hanging.factors else { return String::new() };
    let all = [
        (factors.connection, "connect the radiator at one end or top and bottom"),
        (factors.finish, "give it an ordinary paint"),
        (factors.enclosure, "leave it open"),
    ];
    let wanted: Vec<&str> = all.into_iter().filter(|(factor, _)| *factor < 1.0).map(|(_, words)| words).collect();
    wanted.join(", ")
}

/// Sound power level of a fan convector as it runs (dB).
fn sound_db(kind: &Kind) -> Option<f64> {
    match kind {
        Kind::FanConvector(unit) => unit.map(|unit| unit.sound_db),
        Kind::Radiator(_) | Kind::Floor(_) | Kind::BeyondTables(_) => None,
    }
}

/// A radiator or fan convector with its code and description.
fn product(survey: &Survey, kind: &Kind) -> String {
    let product = kind.product().map(|(product, _)| survey.book.product(product));
    product.map_or_else(|| "another".to_owned(), |(code, product)| format!("{code} ({})", product.description()))
}

/// The limits of the fit that it goes beyond.
fn beyond(survey: &Survey, kind: &Kind, fit_mm: [f64; 3]) -> String {
    let offer = &survey.offer;
    let size_mm = kind.product().and_then(|(product, _)| {
        let radiators = offer.radiators.iter().map(|radiator| (radiator.product, radiator.size_mm));
        let units = offer.fan_convectors.iter().map(|unit| (unit.product, unit.size_mm));
        radiators.chain(units).find(|(offered, _)| *offered == product).map(|(_, size_mm)| size_mm)
    });
    let sides = size_mm.into_iter().flat_map(|size_mm| size_mm.into_iter().zip(fit_mm).zip(WAYS));
    let beyond = sides.filter(|((side_mm, limit_mm), _)| side_mm > limit_mm);
    let beyond: Vec<String> =
        beyond.map(|((side_mm, limit_mm), way)| format!("{side_mm} mm {way} where {limit_mm:.0} mm fit")).collect();
    if beyond.is_empty() { String::new() } else { format!(": {}", beyond.join(", ")) }
}
