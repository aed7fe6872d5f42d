//! Aligned tables without rules, and figures as people read them.

use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, presets};

use crate::intake::words::plain;
use crate::money::Money;

/// Width that long cells are broken to.
const WIDTH: u16 = 110;

/// How a column stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Column {
    /// Text that may be broken.
    Text,
    /// Text that stays on one line.
    Word,
    /// A figure, to the right, on one line.
    Figure,
}

/// Rows under a head, each column aligned; an empty head is left out.
pub(super) fn aligned(columns: &[(&str, Column)], rows: Vec<Vec<String>>) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_content_arrangement(ContentArrangement::Dynamic).set_width(WIDTH);
    if columns.iter().any(|(head, _)| !head.is_empty()) {
        table.set_header(columns.iter().map(|(head, _)| *head));
    }
    // a text that comes with line ends of its own, or worse, shall not break its row
    table.add_rows(rows.into_iter().map(|row| row.into_iter().map(|cell| plain(&cell).into_owned())));
    for (column, (_, kind)) in table.column_iter_mut().zip(columns) {
        column.set_padding((0, 2));
        if *kind != Column::Text {
            column.set_constraint(ColumnConstraint::ContentWidth);
        }
        if *kind == Column::Figure {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let lines: Vec<String> = table.lines().map(|line| line.trim_end().to_owned()).collect();
    lines.join("\n") + "\n"
}

/// An amount with its thousands apart.
pub(super) fn amount(money: Money) -> String {
    let text = money.to_string();
    let (sign, digits) = text.strip_prefix('-').map_or(("", text.as_str()), |digits| ("-", digits));
    let (whole, pennies) = digits.split_once('.').unwrap_or((digits, "00"));
    let mut grouped = String::new();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at) % 3 == 0 {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    format!("{sign}{grouped}.{pennies}")
}

/// A figure with so many decimals, and without a sign before nothing.
pub(super) fn figure(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.')) { text.replace('-', "") } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_have_their_thousands_apart() {
        let shown = [0, 5, 99_999, 100_000, 123_456_789, -123_456].map(|pennies| amount(Money::from_pennies(pennies)));
        assert_eq!(shown, ["0.00", "0.05", "999.99", "1,000.00", "1,234,567.89", "-1,234.56"]);
    }

    #[test]
    fn figures_below_half_a_digit_are_nothing() {
        assert_eq!([figure(-0.04, 1), figure(-0.06, 1), figure(12.25, 1)], ["0.0", "-0.1", "12.2"]);
    }

    #[test]
    fn columns_are_aligned_and_long_texts_broken() {
        let long = "a word ".repeat(40);
        let rows = vec![
            vec!["nave".to_owned(), "9.5".to_owned(), long],
            vec!["hall".to_owned(), "112.0".to_owned(), String::new()],
        ];
        let text = aligned(&[("room", Column::Word), ("W", Column::Figure), ("said", Column::Text)], rows);
        let lines: Vec<&str> = text.lines().collect();
        assert!(lines.iter().all(|line| line.chars().count() <= usize::from(WIDTH)), "{text}");
        assert!(lines[0].starts_with("room      W  said") && lines[1].starts_with("nave    9.5  a word"), "{text}");
        assert!(lines.last().unwrap().starts_with("hall  112.0"), "{text}");
        assert!(lines.len() > 4, "{text}");
    }
}
