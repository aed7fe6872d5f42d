//! Every line of the journal and every value of the working copy is read again, beside the work.

use std::io;
use std::sync::atomic::Ordering;
use std::sync::mpsc::Sender;
use std::time::Duration;

use super::shared::Shared;
use super::writer::Order;

/// What is read without a pause (bytes), and the pause.
const AT_ONCE: u64 = 8 * 1024 * 1024;
const PAUSE: Duration = Duration::from_millis(20);

/// Reads all that was there when the store was opened, and has it mended if anything of it is damaged.
pub(super) fn verify(shared: &Shared, end: u64, orders: &Sender<Order>) {
    if !is_whole(shared, end).unwrap_or(false) && !shared.closing.load(Ordering::SeqCst) {
        tracing::warn!("a part of the store is damaged; it is mended");
        // the store may be let go meanwhile
        _ = orders.send(Order::Mend);
    }
}

/// Whether every record is whole, in journal and copy.
fn is_whole(shared: &Shared, end: u64) -> io::Result<bool> {
    let (mut is_whole, mut since_pause, mut read) = (true, 0, 0);
    let closes = || io::Error::from(io::ErrorKind::Interrupted);
    shared.reader.lines(end, |line| {
        if shared.closing.load(Ordering::SeqCst) {
            return Err(closes());
        }
        since_pause += line.length;
        read += line.length;
        if since_pause > AT_ONCE {
            std::thread::sleep(PAUSE);
            since_pause = 0;
        }
        let copied = |id, revision| shared.copy().record(id, revision).ok().flatten();
        let is_same = line.record.is_some_and(|record| {
            copied(record.head.id, record.head.revision).is_some_and(|copied| copied.sum == record.sum)
        });
        is_whole &= is_same;
        Ok(())
    })?;
    Ok(is_whole && read == end)
}
