//! What a job has most of, for whoever is told that it asks for too much work.

use crate::job::Job;
use crate::job::commercial::PriceBookChoice;

/// Parts of one kind.
struct Parts {
    place: &'static str,
    /// What they are called, more than one of them.
    called: &'static str,
    count: usize,
    /// How many ask for about as much as a question is granted.
    heavy: usize,
}

/// Told beside the part that is nearest to being too many: those that are at least so near (a ratio).
const AS_NEAR: f64 = 0.5;

/// The parts that a job has most of, by their places and in words; none in one that has nothing twice.
pub(super) fn heaviest(job: &Job) -> (Vec<String>, String) {
    let mut parts = counted(job);
    parts.retain(|parts| parts.count > 1);
    #[expect(clippy::cast_precision_loss, reason = "a job has some thousands of anything")]
    let near = |parts: &Parts| parts.count as f64 / parts.heavy as f64;
    parts.sort_by(|a, b| near(b).total_cmp(&near(a)));
    let most = parts.first().map_or(0.0, near);
    let told: Vec<Parts> = parts.into_iter().take_while(|parts| near(parts) >= AS_NEAR * most).collect();
    let words: Vec<String> = told.iter().map(|parts| format!("{} {}", parts.count, parts.called)).collect();
    let mut places: Vec<String> = told.iter().map(|parts| parts.place.to_owned()).collect();
    places.dedup();
    let words = match words.as_slice() {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        all => all.concat(),
    };
    (places, words)
}

fn counted(job: &Job) -> Vec<Parts> {
    let rooms = || job.rooms.values();
    let runs = job.pipework.iter().flat_map(|pipework| pipework.runs.values());
    let products = job.commercial.iter().filter_map(|commercial| match &commercial.price_book {
        Some(PriceBookChoice::Inline { products, .. }) => Some(products.len()),
        Some(PriceBookChoice::BuiltIn {}) | None => None,
    });
    let readings = runs.clone().filter_map(|run| Some(run.readings.as_ref()?.points.len()));
    let draws = job.uncertainty.iter().filter_map(|uncertainty| uncertainty.draws);
    let parts =
        |place: &'static str, called: &'static str, count: usize, heavy: usize| Parts { place, called, count, heavy };
    vec![
        parts("/rooms", "rooms", job.rooms.len(), 200),
        parts("/rooms", "emitters", rooms().map(|room| room.emitters.len()).sum(), 1600),
        parts("/rooms", "surfaces", rooms().map(|room| room.surfaces.len()).sum(), 12_800),
        parts("/pipework/runs", "runs", runs.count(), 400),
        parts("/pipework/runs", "readings of hidden tubes", readings.sum(), 2000),
        parts("/commercial/price_book/products", "products of its own", products.sum(), 2000),
        parts("/uncertainty/draws", "draws", draws.map(|draws| draws as usize).sum(), 20_000),
    ]
}
