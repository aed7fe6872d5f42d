//! JSON Patch as its standard shows it, and as a general-purpose library applies it.

use proptest::prelude::*;
use serde_json::{Value, json};

use super::{is_same, merge, operate, operations};

fn applied(document: &Value, patch: &Value) -> Option<Value> {
    let mut document = document.clone();
    operate(&mut document, &operations(patch).ok()?).ok()?;
    Some(document)
}

/// RFC 6902, appendix A (from memory): document, patch, result.
#[test]
fn does_what_the_examples_of_the_standard_do() {
    let cases = [
        // A.1 to A.10
        (
            json!({"foo": "bar"}),
            json!([{"op": "add", "path": "/baz", "value": "qux"}]),
            json!({"baz": "qux", "foo": "bar"}),
        ),
        (
            json!({"foo": ["bar", "baz"]}),
            json!([{"op": "add", "path": "/foo/1", "value": "qux"}]),
            json!({"foo": ["bar", "qux", "baz"]}),
        ),
        (json!({"baz": "qux", "foo": "bar"}), json!([{"op": "remove", "path": "/baz"}]), json!({"foo": "bar"})),
        (
            json!({"foo": ["bar", "qux", "baz"]}),
            json!([{"op": "remove", "path": "/foo/1"}]),
            json!({"foo": ["bar", "baz"]}),
        ),
        (
            json!({"baz": "qux", "foo": "bar"}),
            json!([{"op": "replace", "path": "/baz", "value": "boo"}]),
            json!({"baz": "boo", "foo": "bar"}),
        ),
        (
            json!({"foo": {"bar": "baz", "waldo": "fred"}, "qux": {"corge": "grault"}}),
            json!([{"op": "move", "from": "/foo/waldo", "path": "/qux/thud"}]),
            json!({"foo": {"bar": "baz"}, "qux": {"corge": "grault", "thud": "fred"}}),
        ),
        (
            json!({"foo": ["all", "grass", "cows", "eat"]}),
            json!([{"op": "move", "from": "/foo/1", "path": "/foo/3"}]),
            json!({"foo": ["all", "cows", "eat", "grass"]}),
        ),
        (
            json!({"baz": "qux", "foo": ["a", 2, "c"]}),
            json!([{"op": "test", "path": "/baz", "value": "qux"}, {"op": "test", "path": "/foo/1", "value": 2}]),
            json!({"baz": "qux", "foo": ["a", 2, "c"]}),
        ),
        (
            json!({"foo": "bar"}),
            json!([{"op": "add", "path": "/child", "value": {"grandchild": {}}}]),
            json!({"foo": "bar", "child": {"grandchild": {}}}),
        ),
        // A.11, A.14, A.16
        (
            json!({"foo": "bar"}),
            json!([{"op": "add", "path": "/baz", "value": "qux", "xyz": 123}]),
            json!({"foo": "bar", "baz": "qux"}),
        ),
        (json!({"/": 9, "~1": 10}), json!([{"op": "test", "path": "/~01", "value": 10}]), json!({"/": 9, "~1": 10})),
        (
            json!({"foo": ["bar"]}),
            json!([{"op": "add", "path": "/foo/-", "value": ["abc", "def"]}]),
            json!({"foo": ["bar", ["abc", "def"]]}),
        ),
    ];
    for (document, patch, result) in cases {
        assert_eq!(applied(&document, &patch), Some(result), "{patch}");
    }
    // A.9, A.12, A.15: what must not be applied
    for (document, patch) in [
        (json!({"baz": "qux"}), json!([{"op": "test", "path": "/baz", "value": "bar"}])),
        (json!({"foo": "bar"}), json!([{"op": "add", "path": "/baz/bat", "value": "qux"}])),
        (json!({"/": 9, "~1": 10}), json!([{"op": "test", "path": "/~01", "value": "10"}])),
    ] {
        assert_eq!(applied(&document, &patch), None, "{patch}");
    }
}

#[test]
fn what_cannot_be_applied_is_told_with_its_place_and_changes_nothing() {
    let document = json!({"a": {"b": [1, 2]}, "c": 3});
    for (patch, pointer, says) in [
        (json!({"a": 1}), "", "list of operations"),
        (json!([{"op": "add", "path": "/d", "value": 1}, {"path": "/a"}]), "/1", "has op"),
        (json!([{"op": "swap", "path": "/a"}]), "/0/op", "is add, remove"),
        (json!([{"op": "add", "path": "/a"}]), "/0", "needs a value"),
        (json!([{"op": "remove"}]), "/0", "needs path"),
        (json!([{"op": "remove", "path": 7}]), "/0", "needs path"),
        (json!([{"op": "move", "path": "/a"}]), "/0", "needs from"),
        (json!([{"op": "remove", "path": "a"}]), "/0/path", "no JSON Pointer"),
        (json!([{"op": "remove", "path": "/c"}, {"op": "remove", "path": "/c"}]), "/1", "nothing at that place"),
        (json!([{"op": "add", "path": "/a/b/3", "value": 1}]), "/0", "nothing at that place"),
        (json!([{"op": "add", "path": "/a/b/01", "value": 1}]), "/0", "nothing at that place"),
        (json!([{"op": "add", "path": "/c/d", "value": 1}]), "/0", "put into is not there"),
        (json!([{"op": "move", "from": "/a", "path": "/a/b/0"}]), "/0", "into itself"),
        (json!([{"op": "test", "path": "/c", "value": 4}]), "/0", "not what the test expects"),
    ] {
        let mut changed = document.clone();
        let refused = operations(&patch).and_then(|operations| operate(&mut changed, &operations)).unwrap_err();
        assert_eq!((refused.pointer.as_str(), refused.detail.contains(says)), (pointer, true), "{patch}: {refused}");
        assert_eq!(changed, document);
    }
    assert!(is_same(&json!({"a": 1, "b": [2.0]}), &json!({"b": [2], "a": 1.0})));
    assert!(!is_same(&json!([1, 2]), &json!([2, 1])) && !is_same(&json!(1), &json!("1")));
}

/// A small patch cannot make a document without end.
#[test]
fn copies_of_copies_come_to_an_end() {
    let double = json!({"op": "copy", "from": "/a", "path": "/a/-"});
    let patch = Value::Array(vec![double; 60]);
    let refused = operate(&mut json!({"a": ["text"]}), &operations(&patch).unwrap()).unwrap_err();
    assert_eq!(refused.detail, "the patch copies too much");
    assert!(operations(&Value::Array(vec![json!({"op": "remove", "path": "/a"}); 1001])).is_err());
}

fn value() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        (0..4).prop_map(Value::from),
        "[ab~/]{0,2}".prop_map(Value::from)
    ];
    leaf.prop_recursive(3, 12, 3, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..3).prop_map(Value::from),
            prop::collection::vec(("[abc/~]", inner), 0..3)
                .prop_map(|members| members.into_iter().collect::<serde_json::Map<_, _>>().into()),
        ]
    })
}

fn patch() -> impl Strategy<Value = Value> {
    let pointer = || {
        prop::collection::vec(prop::sample::select(vec!["a", "b", "c", "0", "1", "-", "~0", "~1"]), 0..3)
            .prop_map(|names| names.into_iter().fold(String::new(), |pointer, name| pointer + "/" + name))
    };
    let name = prop::sample::select(vec!["add", "remove", "replace", "move", "copy", "test"]);
    let operation = (name, pointer(), pointer(), value());
    let operation =
        operation.prop_map(|(op, path, from, value)| json!({"op": op, "path": path, "from": from, "value": value}));
    prop::collection::vec(operation, 1..4).prop_map(Value::from)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3_000, failure_persistence: None, ..ProptestConfig::default() })]

    /// The crate json-patch applies the same patches with the same result, where it does not take back what it began: there it panics.
    #[test]
    fn a_library_makes_the_same_of_it(document in value(), patch in patch()) {
        let mut by_library = document.clone();
        let read: json_patch::Patch = serde_json::from_value(patch.clone()).unwrap();
        let done = json_patch::patch_unsafe(&mut by_library, &read).is_ok();
        prop_assert_eq!(applied(&document, &patch), done.then_some(by_library));
    }

    #[test]
    fn a_library_merges_the_same(document in value(), patch in value()) {
        let (mut ours, mut by_library) = (document.clone(), document);
        merge(&mut ours, patch.clone());
        json_patch::merge(&mut by_library, &patch);
        prop_assert_eq!(ours, by_library);
    }
}
