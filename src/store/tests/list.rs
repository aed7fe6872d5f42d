//! A list has what is asked for, in order, whatever it is found by.

use jiff::civil::{Date, date};
use proptest::prelude::*;

use super::*;
use crate::store::index::Index;
use crate::store::record::Head;

const WORDS: [&str; 6] = ["Mill Lane", "Millers' barn", "Nettle", "nettle-bed 7", "Öre", "7"];
const STATES: [State; 3] = [State::Draft, State::Issued, State::Accepted];

/// A document of a list that is asked: what it is called, by its number in the texts, and so on.
#[derive(Debug, Clone)]
struct Doc {
    at_s: i64,
    title: usize,
    reference: Option<usize>,
    client: Option<usize>,
    state: usize,
    day: Option<i8>,
    is_taken_away: bool,
}

fn doc() -> impl Strategy<Value = Doc> {
    let text = || prop::option::of(0..WORDS.len());
    let parts = (0..400_i64, 0..WORDS.len(), text(), text(), 0..STATES.len(), prop::option::of(1..20_i8), 0..9);
    parts.prop_map(|(at_s, title, reference, client, state, day, nine)| Doc {
        at_s,
        title,
        reference,
        client,
        state,
        day,
        is_taken_away: nine == 0,
    })
}

fn day(day: i8) -> Date {
    date(2026, 12, day)
}

fn moment(at_s: i64) -> Timestamp {
    Timestamp::from_second(1_790_000_000 + at_s).unwrap()
}

impl Doc {
    fn card(&self) -> Card {
        Card {
            state: STATES[self.state],
            title: Some(WORDS[self.title].to_owned()),
            reference: self.reference.map(|at| WORDS[at].to_owned()),
            client: self.client.map(|at| WORDS[at].to_owned()),
            valid_until: self.day.map(day),
            ..card("")
        }
    }

    /// Whether it is asked for, looked at without any index.
    fn is_asked(&self, asked: &Asked) -> bool {
        let card = self.card();
        let plain = |text: &str| text.to_lowercase().replace('ö', "o");
        let all = [&card.title, &card.reference, &card.client].into_iter().flatten().map(|text| plain(text));
        let all: Vec<String> =
            all.flat_map(|text| text.split([' ', '-', '\'']).map(str::to_owned).collect::<Vec<_>>()).collect();
        let text = asked.text.as_deref().map(plain).unwrap_or_default();
        let begins = |word: &str| all.iter().any(|found| found.starts_with(word));
        let (first, end) = asked.created;
        let (from, to) = asked.ends;
        !self.is_taken_away
            && asked.state.is_none_or(|state| state == card.state)
            && asked.reference.as_ref().is_none_or(|asked| {
                card.reference.as_ref().is_some_and(|reference| reference.to_lowercase() == asked.trim().to_lowercase())
            })
            && text.split_whitespace().all(begins)
            && first.is_none_or(|first| first <= moment(self.at_s))
            && end.is_none_or(|end| moment(self.at_s) < end)
            && (from.is_none() && to.is_none()
                || card
                    .valid_until
                    .is_some_and(|day| from.is_none_or(|from| from <= day) && to.is_none_or(|to| day <= to)))
    }
}

fn asked() -> impl Strategy<Value = Asked> {
    let text = prop::sample::select(vec!["mill", "Mill la", "MILL nettle", "7", "ore", "öre 7", "x", "", " n "]);
    let parts = (
        prop::option::of(0..STATES.len()),
        (prop::option::of(1..20_i8), prop::option::of(1..20_i8)),
        (prop::option::of(0..400_i64), prop::option::of(0..400_i64)),
        prop::option::of(0..WORDS.len()),
        prop::option::of(text),
        1..40_usize,
    );
    parts.prop_map(|(state, (from, to), (first, end), reference, text, limit)| Asked {
        state: state.map(|state| STATES[state]),
        ends: (from.map(day), to.map(day)),
        created: (first.map(moment), end.map(moment)),
        reference: reference.map(|at| format!(" {} ", WORDS[at].to_uppercase())),
        text: text.map(str::to_owned),
        after: None,
        limit,
    })
}

fn head(id: Uuid, revision: u32, card: Option<Card>) -> Head {
    Head { n: 1, id, revision, at: Timestamp::UNIX_EPOCH, once: None, card, length: 0 }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    /// Page after page, a list has what a look at every document finds, the latest first, and nothing twice.
    #[test]
    fn a_list_has_what_is_asked_for(docs in prop::collection::vec(doc(), 0..60), asked in asked()) {
        let mut index = Index::default();
        let mut all = Vec::new();
        for doc in &docs {
            let seconds = u64::try_from(moment(doc.at_s).as_second()).unwrap();
            let id = Uuid::new_v7(uuid::Timestamp::from_unix(uuid::NoContext, seconds, 0));
            // it was called something else before
            index.take(&head(id, 1, Some(card("Mill nettle 7 ore"))), (0, 0));
            index.take(&head(id, 2, (!doc.is_taken_away).then(|| doc.card())), (0, 0));
            all.push((id, doc));
        }
        all.sort_by_key(|(id, _)| *id);
        let expected: Vec<Uuid> = all.iter().rev().filter(|(_, doc)| doc.is_asked(&asked)).map(|(id, _)| *id).collect();
        let (mut found, mut after) = (Vec::new(), None);
        loop {
            let (page, more) = index.list(&Asked { after, ..asked.clone() });
            prop_assert!(page.len() == asked.limit || !more);
            after = page.last().map(|listed| listed.id);
            found.extend(page.into_iter().map(|listed| listed.id));
            if !more {
                break;
            }
        }
        prop_assert_eq!(found, expected);
        prop_assert_eq!(index.count(), docs.iter().filter(|doc| !doc.is_taken_away).count());
    }
}

/// What holds for many is walked and not gathered, and finds the same.
#[test]
fn what_many_hold_is_found_all_the_same() {
    let mut index = Index::default();
    let mut ids = Vec::new();
    for number in 0..10_000 {
        let id = Uuid::now_v7();
        let title = format!("house{} {}", number % 20, if number % 5000 == 7 { "rare" } else { "common" });
        index.take(&head(id, 1, Some(card(&title))), (0, 0));
        ids.push((id, number));
    }
    let ask = |text: &str| {
        let asked = Asked { text: Some(text.to_owned()), limit: 20_000, ..Asked::default() };
        index.list(&asked).0.into_iter().map(|listed| listed.id).collect::<Vec<_>>()
    };
    let expected = |holds: &dyn Fn(u32) -> bool| {
        let mut found: Vec<Uuid> = ids.iter().filter(|(_, number)| holds(*number)).map(|(id, _)| *id).collect();
        found.sort();
        found.reverse();
        found
    };
    assert_eq!(ask("common"), expected(&|number| number % 5000 != 7));
    assert_eq!(ask("house"), expected(&|_| true));
    assert_eq!(ask("house common"), expected(&|number| number % 5000 != 7));
    assert_eq!(ask("house rare"), expected(&|number| number % 5000 == 7));
    assert_eq!(ask("house1 common"), expected(&|number| number % 5000 != 7 && (number % 20 == 1 || number % 20 >= 10)));
}

/// A key is known as long as its answer is kept, and no longer.
#[test]
fn a_key_is_known_until_its_time_is_over() {
    let mut index = Index::default();
    let id = Uuid::now_v7();
    let once = Once { key: "key".to_owned(), asked: "digest".to_owned(), until: moment(100) };
    index.take(&Head { once: Some(once), ..head(id, 1, Some(card("a house"))) }, (0, 0));
    index.take(&head(id, 2, Some(card("a house"))), (0, 0));
    let wrote = |index: &Index, at_s| index.answered("key", moment(at_s)).map(|answered| answered.wrote);
    assert_eq!((wrote(&index, 99), wrote(&index, 100)), (Some((id, 1)), None));
    index.forget_keys(moment(99));
    assert_eq!(wrote(&index, 0), Some((id, 1)));
    index.forget_keys(moment(100));
    assert_eq!(wrote(&index, 0), None);
}
