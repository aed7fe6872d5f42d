//! What is written and read back is the same.

use proptest::prelude::*;
use serde_json::Value;
use std::path::Path;
use std::sync::LazyLock;
use tundish::intake::{Gate, read};
use tundish::job::Job;
use tundish::methods::math::round_significant;
use tundish::render::json::{DIGITS, to_string};

use super::houses::house;

static GATE: LazyLock<Gate> = LazyLock::new(|| Gate::for_type::<Job>().unwrap());

fn job_of(text: &str) -> Job {
    let reading = read::<Job>(&GATE, text.as_bytes());
    assert_eq!(reading.faults, []);
    reading.document.unwrap()
}

#[test]
fn fixtures_are_written_as_they_were_read() {
    for name in ["jobs/chapel.json", "jobs/terrace.json", "jobs/bungalow.json", "published/hand_house.json"] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures").join(name);
        let job = job_of(&std::fs::read_to_string(path).unwrap());
        let text = serde_json::to_string(&job).unwrap();
        assert_eq!(job_of(&text), job, "{name}");
        assert_eq!(serde_json::to_string(&job_of(&text)).unwrap(), text, "{name}");
    }
}

fn finite() -> impl Strategy<Value = f64> {
    any::<f64>().prop_filter("finite", |x| x.is_finite())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_double_is_printed_and_read_back_equal(x in finite()) {
        // the service's own dependency on serde_json must ask for this: without `float_roundtrip` a tenth fail
        let text = serde_json::to_string(&x).unwrap();
        prop_assert_eq!(serde_json::from_str::<f64>(&text).unwrap().to_bits(), x.to_bits());
        prop_assert_eq!(serde_json::from_str::<Value>(&text).unwrap().as_f64().unwrap().to_bits(), x.to_bits());
    }

    #[test]
    fn a_figure_of_an_answer_is_read_back_as_it_was_rounded_and_written_alike_again(x in finite()) {
        let text = to_string(&x).unwrap();
        let read: f64 = serde_json::from_str(&text).unwrap();
        prop_assert_eq!(read, round_significant(x, DIGITS));
        prop_assert_eq!(to_string(&read).unwrap(), text.clone());
        if x.is_normal() {
            // seven significant digits: half a unit of the seventh, and the double's own half unit
            prop_assert!((read - x).abs() <= 0.500_001e-6 * x.abs(), "{x} became {text}");
        }
        let digits = text.trim_start_matches('-').split(['e', 'E']).next().unwrap().replace('.', "");
        prop_assert!(digits.trim_matches('0').len() <= DIGITS, "{text}");
    }

    #[test]
    fn what_is_not_finite_is_never_written(nan in prop::sample::select(vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY]), x in finite()) {
        prop_assert!(to_string(&nan).is_err());
        prop_assert!(to_string(&vec![x, nan]).is_err());
        prop_assert!(to_string(&(x, Some(nan))).is_err());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_job_is_written_as_it_was_read(house in house()) {
        let job = job_of(&house.to_string());
        let text = serde_json::to_string(&job).unwrap();
        prop_assert_eq!(&job_of(&text), &job);
        // every number of the document that was sent stands in the one that is written, to the last bit
        let written: Value = serde_json::from_str(&text).unwrap();
        for (id, room) in house["rooms"].as_object().unwrap() {
            for (surface, sent) in room["surfaces"].as_object().unwrap() {
                let kept = &written["rooms"][id]["surfaces"][surface]["area_m2"];
                prop_assert_eq!(kept.as_f64().unwrap().to_bits(), sent["area_m2"].as_f64().unwrap().to_bits());
            }
        }
    }
}

proptest! {
    /// The quick way to round agrees with the decimal text of a double, bit for bit.
    #[test]
    fn rounding_agrees_with_the_decimal_text(
        x in prop_oneof![
            proptest::num::f64::NORMAL,
            -1e6..1e6_f64,
            (-999_999_999_i32..999_999_999, 0..12_i32).prop_map(|(n, p)| f64::from(n) / libm::pow(10.0, f64::from(p))),
        ],
        digits in 1..=15_usize,
    ) {
        let expected: f64 = format!("{x:.*e}", digits - 1).parse().unwrap();
        prop_assert_eq!(tundish::methods::math::round_significant(x, digits).to_bits(), expected.to_bits(), "{} {}", x, digits);
    }
}
