use std::sync::mpsc;

use super::*;
use crate::methods::{Budget, MethodError, Watch as _};

const LONG: Duration = Duration::from_mins(1);

fn times() -> Times {
    Times { wait: LONG, quick: LONG, ..Times::default() }
}

/// Places that are there in either lane.
fn places() -> usize {
    std::thread::available_parallelism().map_or(2, usize::from)
}

/// Searches until somebody ends it.
fn searched(turn: &Arc<Turn>) -> Result<(), ApiError> {
    let budget = Budget::unbounded().watched(turn.clone());
    while budget.spend(1000).is_ok() {
        std::thread::sleep(Duration::from_micros(100));
    }
    assert_eq!(budget.spend(1), Err(MethodError::OutOfTime));
    Err(ApiError::OutOfTime)
}

#[actix_web::test]
async fn survives_a_panic() {
    let work = Work::new(times());
    for _ in 0..2 * places() {
        assert!(matches!(work.run::<()>(|_| panic!("a fault of the program")).await, Err(ApiError::Internal)));
    }
    assert!(matches!(work.run(|_| Ok(1)).await, Ok(1)));
}

/// Work is turned away by how long it would wait, and told when to ask again; what is cheap never is.
#[actix_web::test]
async fn turns_away_what_would_wait_too_long() {
    let work = Work::new(Times { wait: Duration::ZERO, ..times() });
    let (told, ends) = mpsc::channel::<()>();
    let ends = Arc::new(std::sync::Mutex::new(ends));
    let held: Vec<_> = (0..places())
        .map(|_| {
            let (work, ends) = (work.clone(), ends.clone());
            actix_web::rt::spawn(async move { work.run(move |_| Ok(ends.lock().unwrap().recv().is_err())).await })
        })
        .collect();
    while work.quick.free() > 0 {
        actix_web::rt::time::sleep(Duration::from_millis(1)).await;
    }
    let asked = actix_web::rt::time::timeout(Duration::from_secs(5), work.run(|_| Ok(1)));
    assert!(matches!(asked.await, Ok(Err(ApiError::Busy { seconds: 1 }))));
    let cheap = actix_web::rt::spawn({
        let work = work.clone();
        async move { work.run_cheap(|_| Ok(1)).await }
    });
    drop(told);
    for held in held {
        assert!(matches!(held.await, Ok(Ok(true))));
    }
    assert!(matches!(cheap.await, Ok(Ok(1))));
    assert!(matches!(work.run(|_| Ok(1)).await, Ok(1)), "the lane is free again");
}

/// However much is long, what is quick has its places; what is long and would wait too long is told so.
#[actix_web::test]
async fn long_work_leaves_its_place_to_quick_work() {
    let work = Work::new(Times { quick: Duration::ZERO, ..times() });
    let long: Vec<_> = (0..3 * places())
        .map(|_| {
            let work = work.clone();
            actix_web::rt::spawn(async move { work.run(searched).await })
        })
        .collect();
    for _ in 0..3 {
        assert!(matches!(work.run(|_| Ok(1)).await, Ok(1)));
    }
    work.stop();
    let mut busy = 0;
    for long in long {
        match long.await.unwrap() {
            Err(ApiError::Stopping) => {}
            Err(ApiError::Busy { seconds }) => {
                // a second each is what they are thought to take
                assert!(seconds >= 1);
                busy += 1;
            }
            other => panic!("{other:?}"),
        }
    }
    // a minute's wait is granted here
    assert_eq!(busy, 0);
}

/// Holds every place of some work until it is told to end.
fn hold(
    work: &Work,
    is_read_back: bool,
) -> (mpsc::Sender<()>, Vec<actix_web::rt::task::JoinHandle<Result<bool, ApiError>>>) {
    let (told, ends) = mpsc::channel::<()>();
    let ends = Arc::new(std::sync::Mutex::new(ends));
    let held = (0..places()).map(|_| {
        let (work, ends) = (work.clone(), ends.clone());
        let until_told = move |_: &Arc<Turn>| Ok(ends.lock().unwrap().recv().is_err());
        actix_web::rt::spawn(async move {
            if is_read_back { work.run_cheap(until_told).await } else { work.run(until_told).await }
        })
    });
    (told, held.collect())
}

/// On one core there is a place for long work as well; on more, one is left that no long work takes.
#[actix_web::test]
async fn long_work_has_one_place_less() {
    let work = Work::new(times());
    assert_eq!((work.quick.free(), work.back.free()), (places(), places()));
    assert_eq!(work.long.free(), if places() == 1 { 1 } else { places() - 1 });
}

/// What work waited for its place in the long lane is none of its time.
#[actix_web::test]
async fn waiting_for_the_long_lane_is_no_work() {
    let work = Work::new(Times { work: Duration::from_millis(200), ..times() });
    let mut held = Vec::new();
    while work.long.free() > 0 {
        held.push(work.long.ticket().place().await.unwrap());
    }
    let asked = actix_web::rt::spawn({
        let work = work.clone();
        async move {
            work.run(|turn| {
                turn.lengthen()?;
                Ok(turn.goes_on())
            })
            .await
        }
    });
    actix_web::rt::time::sleep(Duration::from_millis(400)).await;
    drop(held);
    assert!(matches!(asked.await, Ok(Ok(true))));
}

/// However much is read back, what is computed has its places.
#[actix_web::test]
async fn what_is_read_back_takes_no_place_of_what_is_computed() {
    let work = Work::new(times());
    let (told, held) = hold(&work, true);
    for _ in 0..5000 {
        if work.back.free() == 0 {
            break;
        }
        actix_web::rt::time::sleep(Duration::from_millis(1)).await;
    }
    assert_eq!(work.back.free(), 0);
    let asked = actix_web::rt::time::timeout(Duration::from_secs(20), work.run(|_| Ok(1))).await;
    assert!(matches!(asked, Ok(Ok(1))));
    drop(told);
    for held in held {
        assert!(matches!(held.await, Ok(Ok(true))));
    }
}

/// Whatever was thought, nobody waits for longer than work may: neither for a first place nor for one in the long lane.
#[actix_web::test]
async fn nothing_waits_longer_by_the_clock_than_it_may() {
    let wait = Duration::from_millis(100);
    let work = Work::new(Times { wait, ..times() });
    let (told, held) = hold(&work, false);
    while work.quick.free() > 0 {
        actix_web::rt::time::sleep(Duration::from_millis(1)).await;
    }
    // a few milliseconds are what one is thought to take
    let begun = Instant::now();
    assert!(matches!(work.run(|_| Ok(1)).await, Err(ApiError::Busy { .. })));
    assert!(begun.elapsed() >= wait);
    drop(told);
    for held in held {
        assert!(matches!(held.await, Ok(Ok(true))));
    }
    let work = Work::new(Times { wait, quick: Duration::ZERO, ..times() });
    for _ in 0..100 {
        // so little was in the long lane of late
        assert!(matches!(work.run(|turn| turn.lengthen()).await, Ok(())));
    }
    let long: Vec<_> = (0..places())
        .map(|_| {
            let work = work.clone();
            actix_web::rt::spawn(async move { work.run(searched).await })
        })
        .collect();
    while work.long.free() > 0 {
        actix_web::rt::time::sleep(Duration::from_millis(1)).await;
    }
    let begun = Instant::now();
    assert!(matches!(work.run(|turn| turn.lengthen()).await, Err(ApiError::Busy { .. })));
    assert!(begun.elapsed() >= wait / 2, "it would not be turned away at once");
    work.stop();
    for long in long {
        assert!(matches!(long.await, Ok(Err(ApiError::Stopping | ApiError::Busy { .. }))));
    }
}

/// What runs already for longer than work took of late takes longer; and what took longer counts at once, what took less by and by.
#[actix_web::test]
async fn a_wait_is_reckoned_by_what_runs_and_by_what_was_long() {
    let lane = Lane::long(1, 0.001, LONG);
    let runs = lane.ticket().place().await.unwrap();
    assert!(lane.wait() < Duration::from_millis(50), "{:?}", lane.wait());
    actix_web::rt::time::sleep(Duration::from_millis(100)).await;
    assert!(lane.wait() >= Duration::from_millis(100), "{:?}", lane.wait());
    drop(runs);
    assert_eq!(lane.wait(), Duration::ZERO, "its place is free");
    let one = lane.ticket();
    let after_long = lane.wait();
    assert!(after_long >= Duration::from_millis(45), "{after_long:?}");
    drop(one.place().await.unwrap());
    let _one = lane.ticket();
    assert!(lane.wait() < after_long && lane.wait() > after_long.mul_f64(0.8), "{:?}", lane.wait());
    // from the quick lane what is long leaves: it counts as one of many
    let lane = Lane::new(1, 0.001, LONG);
    let runs = lane.ticket().place().await.unwrap();
    actix_web::rt::time::sleep(Duration::from_millis(100)).await;
    assert!(lane.wait() < Duration::from_millis(50), "{:?}", lane.wait());
    drop(runs);
    let _one = lane.ticket();
    assert!((10..50).contains(&lane.wait().as_millis()), "{:?}", lane.wait());
}

#[actix_web::test]
async fn work_ends_once_its_client_is_gone() {
    let work = Work::new(times());
    let (tell, ended) = mpsc::channel();
    let asked = work.run(move |turn| {
        let done = searched(turn);
        tell.send(()).unwrap();
        done
    });
    assert!(actix_web::rt::time::timeout(Duration::from_millis(20), asked).await.is_err());
    // the client has left with the future that was dropped
    // long before its own time is over
    assert_eq!(ended.recv_timeout(Duration::from_secs(20)), Ok(()));
}

#[actix_web::test]
async fn work_ends_once_its_time_is_over_and_then_it_says_so() {
    let work = Work::new(Times { work: Duration::from_millis(5), ..times() });
    assert!(matches!(work.run(searched).await, Err(ApiError::OutOfTime)));
    // what had ended by then is answered, and what is at fault is told
    assert!(matches!(work.run(|_| Err::<(), _>(ApiError::NoQuote)).await, Err(ApiError::NoQuote)));
}
