//! Money against exact arithmetic in whole numbers.

use proptest::prelude::*;
use tundish::money::Money;

/// `pennies * numerator / 10^places`, rounded half away from zero, in whole numbers.
fn times_exactly(pennies: i64, numerator: i64, places: u32) -> i128 {
    let product = i128::from(pennies) * i128::from(numerator);
    let unit = 10_i128.pow(places);
    let (whole, rest) = (product / unit, product % unit);
    if 2 * rest.abs() >= unit { whole + product.signum() } else { whole }
}

/// The double that a decimal text stands for.
fn decimal(numerator: i64, places: u32) -> f64 {
    format!("{numerator}e-{places}").parse().unwrap()
}

fn amount() -> impl Strategy<Value = i64> {
    prop_oneof![-100_000_000_000_i64..=100_000_000_000, -1_000_i64..=1_000]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn an_amount_times_a_quantity_is_rounded_half_up_once(
        pennies in amount(), quantity in -10_000_000_i64..=10_000_000, places in 0_u32..=5,
    ) {
        let product = Money::from_pennies(pennies).times(decimal(quantity, places)).unwrap();
        prop_assert_eq!(i128::from(product.pennies().unwrap()), times_exactly(pennies, quantity, places));
    }

    #[test]
    fn a_mark_up_adds_its_share_and_is_rounded_half_up(pennies in amount(), share in -1_000_i64..=5_000) {
        let marked_up = Money::from_pennies(pennies).marked_up(decimal(share, 3)).unwrap();
        prop_assert_eq!(i128::from(marked_up.pennies().unwrap()), times_exactly(pennies, 1_000 + share, 3));
    }

    #[test]
    fn a_sum_of_lines_is_the_sum_of_their_pennies(lines in prop::collection::vec(amount(), 0..200)) {
        let sum: Money = lines.iter().map(|pennies| Money::from_pennies(*pennies)).sum();
        prop_assert_eq!(sum.pennies(), Some(lines.iter().sum::<i64>()));
        let mut running = Money::ZERO;
        for pennies in &lines {
            running += Money::from_pennies(*pennies);
        }
        prop_assert_eq!(running, sum);
        prop_assert_eq!(sum - sum, Money::ZERO);
        prop_assert_eq!(-(-sum), sum);
    }

    #[test]
    fn an_amount_is_written_with_two_decimals_and_read_back_equal(pennies in amount()) {
        let money = Money::from_pennies(pennies);
        let text = serde_json::to_string(&money).unwrap();
        let sign = if pennies < 0 { "-" } else { "" };
        prop_assert_eq!(&text, &format!("{sign}{}.{:02}", pennies.abs() / 100, pennies.abs() % 100));
        prop_assert_eq!(&money.to_string(), &text);
        prop_assert_eq!(serde_json::from_str::<Money>(&text).unwrap(), money);
        prop_assert_eq!(money.is_negative(), pennies < 0);
        // by way of a double, as the intake reads it
        prop_assert_eq!(Money::from_f64(text.parse().unwrap()), Some(money));
    }

    #[test]
    fn an_amount_finer_than_a_penny_is_refused(thousandths in -100_000_000_i64..=100_000_000) {
        let read = serde_json::from_str::<Money>(&format!("{thousandths}e-3"));
        prop_assert_eq!(read.is_ok(), thousandths % 10 == 0, "{}", thousandths);
        let in_a_tagged_choice = Money::from_f64(decimal(thousandths, 3));
        prop_assert_eq!(in_a_tagged_choice.is_some(), thousandths % 10 == 0);
    }
}

#[test]
fn the_price_that_was_worked_by_hand_comes_out_to_the_penny() {
    // net 21,480.00 at 5 % is 1,074.00 of tax, 22,554.00 gross; less a grant of 7,500.00 there are 15,054.00 to pay
    let net = Money::from_pennies(2_148_000);
    let tax = net.times(0.05).unwrap();
    let gross = net + tax;
    assert_eq!((tax.to_string().as_str(), gross.to_string().as_str()), ("1074.00", "22554.00"));
    assert_eq!((gross - Money::from_pennies(750_000)).to_string(), "15054.00");
}

#[test]
fn a_half_penny_is_rounded_away_from_nothing_and_what_is_not_a_number_is_refused() {
    for (pennies, quantity, expected) in
        [(1, 0.5, 1), (-1, 0.5, -1), (1, 0.499_999, 0), (3, 0.5, 2), (5, 0.1, 1), (15, 0.1, 2)]
    {
        assert_eq!(
            Money::from_pennies(pennies).times(quantity).unwrap().pennies(),
            Some(expected),
            "{pennies} × {quantity}"
        );
    }
    for quantity in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300] {
        assert_eq!(Money::from_pennies(100).times(quantity), None, "{quantity}");
        assert_eq!(Money::from_f64(quantity), None, "{quantity}");
    }
}

#[test]
fn a_whole_number_is_so_many_pounds() {
    for (pounds, pennies) in [(7500_i64, 750_000), (0, 0), (-7500, -750_000)] {
        let written = serde_json::json!(pounds);
        assert_eq!(serde_json::from_value::<Money>(written).unwrap(), Money::from_pennies(pennies));
        assert_eq!(serde_json::from_str::<Money>(&pounds.to_string()).unwrap(), Money::from_pennies(pennies));
    }
}
