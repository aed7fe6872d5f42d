//! A panic that is caught and answered is not told as a crash.

use std::cell::Cell;
use std::panic;
use std::sync::Once;

thread_local! {
    /// Whether a panic of this thread is caught and answered.
    static IS_CAUGHT: Cell<bool> = const { Cell::new(false) };
}

/// Does something whose panics the caller catches: they are for the log of those who look for them.
pub(super) fn while_doing<T>(work: impl FnOnce() -> T) -> T {
    static TOLD: Once = Once::new();
    TOLD.call_once(|| {
        let before = panic::take_hook();
        panic::set_hook(Box::new(move |panic| {
            let is_sleds = std::thread::current().name().is_some_and(|name| name.starts_with("sled"));
            if is_sleds || IS_CAUGHT.get() {
                tracing::debug!(%panic, "the working copy is damaged");
            } else {
                before(panic);
            }
        }));
    });
    let outer = IS_CAUGHT.replace(true);
    let done = work();
    IS_CAUGHT.set(outer);
    done
}
