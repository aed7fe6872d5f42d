//! The one who gives records to the working copy, beside the journal's sync: one thread for all commits.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use super::copy::{Copy, Unusable};
use super::record::Record;

/// Records to be given, and whoever waits for it.
type Given = (Arc<Copy>, Arc<Vec<Record>>, Sender<Result<(), Unusable>>);

/// The one who gives records to the working copy.
#[derive(Debug)]
pub(super) struct Copier {
    orders: Sender<Given>,
}

/// Records that are being given.
pub(super) struct Copying(Receiver<Result<(), Unusable>>);

impl Copier {
    /// Begins the thread, which ends with this.
    pub(super) fn begin() -> std::io::Result<Self> {
        let (orders, given) = channel::<Given>();
        std::thread::Builder::new().name("store-copier".to_owned()).spawn(move || {
            for (copy, records, reply) in given {
                let copied = copy.put(records.iter());
                // nobody else holds them once whoever waits has the answer
                drop((copy, records));
                _ = reply.send(copied);
            }
        })?;
        Ok(Self { orders })
    }

    /// Gives records.
    pub(super) fn give(&self, copy: Arc<Copy>, records: Arc<Vec<Record>>) -> Copying {
        let (reply, copied) = channel();
        // where the thread is gone, so is what it would answer with
        _ = self.orders.send((copy, records, reply));
        Copying(copied)
    }
}

impl Copying {
    /// What came of it; nothing where the thread has panicked.
    pub(super) fn wait(self) -> Option<Result<(), Unusable>> {
        self.0.recv().ok()
    }
}
