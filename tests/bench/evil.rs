//! Documents that mean harm, as large as a body may be: many of whatever is wrong.

/// Bytes that a body may have.
pub const MOST_BYTES: usize = 2 * 1024 * 1024;

/// A document of so many bytes at most, of items between a head and a tail.
pub fn filled(head: &str, item: impl Fn(usize) -> String, tail: &str, most_bytes: usize) -> String {
    let mut text = head.to_owned();
    for number in 0.. {
        let item = item(number);
        if text.len() + item.len() + tail.len() + 1 > most_bytes {
            break;
        }
        if number > 0 {
            text.push(',');
        }
        text.push_str(&item);
    }
    text + tail
}

/// One kind of them: its name, and the text of it in so many bytes.
pub type Evil = (&'static str, fn(usize) -> String);

/// Every kind.
pub const EVIL: [Evil; 19] = [
    ("unknown fields", |most| filled("{", |i| format!(r#""u{i}":0"#), "}", most)),
    ("unknown fields like known ones", |most| filled("{", |i| format!(r#""sit{i}e":0"#), "}", most)),
    ("unknown fields with escapes", |most| filled("{", |i| format!(r#""\u0041{i:x}":0"#), "}", most)),
    ("keys that stand twice", |most| {
        let once = filled("{", |i| format!(r#""k{i}":0"#), "", most / 2);
        format!("{once},{}}}", &once[1..])
    }),
    ("one key many times", |most| filled("{", |_| r#""a":0"#.to_owned(), "}", most)),
    ("list items where an object belongs", |most| filled("[", |_| "0".to_owned(), "]", most)),
    ("empty objects where an object belongs", |most| filled("[", |_| "{}".to_owned(), "]", most)),
    ("list items of a wrong kind", |most| filled(r#"{"pipework":{"tubes":["#, |_| "0".to_owned(), "]}}", most)),
    ("list items of a right kind", |most| {
        filled(r#"{"pipework":{"tubes":["#, |_| r#""cu_15""#.to_owned(), "]}}", most)
    }),
    ("empty rooms", |most| filled(r#"{"rooms":{"#, |i| format!(r#""{i:x}":{{}}"#), "}}", most)),
    ("rooms that are null", |most| filled(r#"{"rooms":{"#, |i| format!(r#""{i:x}":null"#), "}}", most)),
    ("rooms with ids that are none", |most| filled(r#"{"rooms":{"#, |i| format!(r#""A{i:x}":{{}}"#), "}}", most)),
    ("constructions of no kind", |most| {
        filled(r#"{"constructions":{"#, |i| format!(r#""r{i:x}":{{"kind":"q{i}"}}"#), "}}", most)
    }),
    ("a long text", |most| format!(r#"{{"title":"{}"}}"#, "x".repeat(most - 12))),
    ("a long text of escapes", |most| format!(r#"{{"title":"{}"}}"#, r"\u0041".repeat(most / 6 - 3))),
    ("lists in lists", |most| "[".repeat(most)),
    ("lists of one in lists of one", |most| {
        filled("[", |_| format!("{}{}", "[".repeat(30), "]".repeat(30)), "]", most)
    }),
    ("objects of one in objects of one", |most| {
        filled("[", |_| format!("{}0{}", r#"{"":"#.repeat(30), "}".repeat(30)), "]", most)
    }),
    ("a fault at the end", |most| filled("[", |_| "[]".to_owned(), "]x", most)),
];
