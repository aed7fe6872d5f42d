//! A store of the first form, which had no journal, becomes one of today.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use jiff::Timestamp;
use uuid::Uuid;

use super::packed::pack;
use super::record::{Head, Record, Sum};
use super::register::{Entry, Register};
use super::{StoreError, copy, folder, journal};
use crate::quotes::{Card, Revision};

/// Name of the folder that it lay in.
const NAME: &str = "sled";

/// Writes a journal of everything that is kept in the first form. Until the folder is marked anew nothing of the old is touched,
/// and what was begun is begun again.
pub(super) fn bring_up(folder: &Path) -> Result<(), StoreError> {
    let config = sled::Config::new().path(folder.join(NAME)).flush_every_ms(None);
    let old = copy::asked(|| config.open())?;
    let (mut text, mut entries, mut created) = (Vec::new(), Vec::new(), BTreeMap::new());
    for (n, (id, revision, value)) in (1..).zip(revisions(&old)?) {
        let at = moment(id);
        let created_at = *created.entry(id).or_insert(at);
        let card =
            value.and_then(|value| Some((Card::of(&Revision::from_bytes(&value).ok()?, created_at, at).ok()?, value)));
        let Some((card, value)) = card else {
            // a gap in the journal, of which the register knows what it was
            entries.push(Entry { n, id, revision, sum: Sum::of(b"") });
            continue;
        };
        let length = value.len() as u64;
        let head = Head { n, id, revision, at, once: None, card: Some(card), length };
        let (record, line) = Record::new(head, Some(pack(&value)))?;
        entries.push(Entry::of(&record));
        text.extend_from_slice(line.as_bytes());
    }
    Register::anew(folder, entries.iter())?;
    folder::write_whole(folder, journal::NAME, &text)?;
    folder::mark(folder)?;
    drop(old);
    tracing::info!(revisions = entries.len(), "a store of the first form has a journal now");
    if entries.iter().all(|entry| entry.sum != Sum::of(b"")) {
        std::fs::remove_dir_all(folder.join(NAME))?;
    } else {
        tracing::error!("a store of the first form is not whole; what it holds stays in {NAME}");
    }
    Ok(())
}

/// When a document was first written: its id says so.
fn moment(id: Uuid) -> Timestamp {
    let seconds = id.get_timestamp().map(|time| time.to_unix());
    let of =
        |(seconds, nanos): (u64, u32)| Timestamp::new(i64::try_from(seconds).ok()?, i32::try_from(nanos).ok()?).ok();
    seconds.and_then(of).unwrap_or(Timestamp::UNIX_EPOCH)
}

/// A document, the number of a revision of it, and its bytes where they are whole.
type Revised = (Uuid, u32, Option<Vec<u8>>);

/// Every revision, in the order of documents, with its value where that is whole: `h` and an id gave the number of the latest
/// and its length, `r`, an id, a number and the number of a part gave that part.
fn revisions(old: &sled::Db) -> Result<Vec<Revised>, StoreError> {
    let mut values: BTreeMap<(Uuid, u32), Vec<u8>> = BTreeMap::new();
    copy::asked(|| {
        old.scan_prefix(b"r").try_for_each(|entry| {
            entry.map(|(key, part)| {
                if let Some((id, rest)) = key[1..].split_first_chunk::<16>()
                    && let Some((revision, _)) = rest.split_first_chunk::<4>()
                {
                    let place = (Uuid::from_bytes(*id), u32::from_be_bytes(*revision));
                    values.entry(place).or_default().extend_from_slice(&part);
                }
            })
        })
    })?;
    let heads = copy::asked(|| old.scan_prefix(b"h").collect::<sled::Result<Vec<_>>>())?;
    let read = |(key, head): &(sled::IVec, sled::IVec)| {
        let (revision, length) = head.split_first_chunk::<4>()?;
        let length = u64::from_be_bytes(length.try_into().ok()?);
        Some((Uuid::from_slice(key.get(1..)?).ok()?, u32::from_be_bytes(*revision), length))
    };
    let lasts: BTreeMap<Uuid, (u32, u64)> =
        heads.iter().filter_map(read).map(|(id, last, length)| (id, (last, length))).collect();
    let mut places: BTreeSet<(Uuid, u32)> =
        lasts.iter().flat_map(|(id, (last, _))| (1..=*last).map(|revision| (*id, revision))).collect();
    // what no head tells of any more is there all the same
    places.extend(values.keys());
    let whole = |(id, revision): (Uuid, u32)| {
        // a document without a byte had no parts
        let value = values.remove(&(id, revision)).unwrap_or_default();
        let last = lasts.get(&id).filter(|(last, _)| *last == revision);
        let is_whole = last.is_none_or(|(_, length)| value.len() as u64 == *length);
        (id, revision, is_whole.then_some(value))
    };
    Ok(places.into_iter().map(whole).collect())
}
