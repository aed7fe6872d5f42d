//! The query of a URL as a tree, so that parameters pass the same gate as documents.

use std::borrow::Cow;

use super::gate::{Gate, Rule};
use super::node::{Members, Node};

/// The parameters as members of an object, each read as what the gate expects of it; a value that cannot be
/// read so stays text, and the gate says what was expected.
pub(super) fn tree(gate: &Gate, query: &str) -> Node<'static> {
    let mut members = Members::default();
    for (name, value) in pairs(query) {
        if let Some(place) = members.place_of(&name) {
            members.repeat(place);
            continue;
        }
        let node = rule_of(gate, &name).and_then(|rule| plain(rule, &value)).unwrap_or(Node::Str(Cow::Owned(value)));
        members.0.push((Cow::Owned(name), node));
    }
    Node::Obj(members)
}

fn pairs(query: &str) -> impl Iterator<Item = (String, String)> + '_ {
    query.split('&').filter(|pair| !pair.is_empty()).map(|pair| {
        let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
        (decoded(name), decoded(value))
    })
}

/// Undoes percent encoding and reads `+` as a blank; bytes that are not UTF-8 become a replacement character,
/// which no parameter accepts.
fn decoded(text: &str) -> String {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let Some((&first, tail)) = rest.split_first() {
        let hex = |at: usize| {
            tail.get(at).and_then(|&digit| char::from(digit).to_digit(16)).and_then(|digit| u8::try_from(digit).ok())
        };
        match (first, hex(0), hex(1)) {
            (b'%', Some(high), Some(low)) => {
                bytes.push(high * 16 + low);
                rest = &tail[2..];
            }
            (b'+', _, _) => {
                bytes.push(b' ');
                rest = tail;
            }
            _ => {
                bytes.push(first);
                rest = tail;
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

fn rule_of<'g>(gate: &'g Gate, name: &str) -> Option<&'g Rule> {
    let Rule::Object(object) = &gate.rules[gate.root] else { return None };
    let member = object.members.iter().find(|member| member.name == name)?;
    let rule = &gate.rules[member.rule];
    Some(if let Rule::OrNull(inner) = rule { &gate.rules[*inner] } else { rule })
}

/// A plain value written as JSON writes it: `21,5`, `NaN`, `1e400` and `+3` are no numbers, `1` is no truth. JSON
/// lets blanks stand round a value, a parameter does not.
fn plain(rule: &Rule, value: &str) -> Option<Node<'static>> {
    if !value.bytes().all(|byte| byte.is_ascii_graphic()) {
        return None;
    }
    match (rule, Node::parse(value.as_bytes())) {
        (Rule::Bool, Ok(Node::Bool(truth))) => Some(Node::Bool(truth)),
        (Rule::Number { .. }, Ok(Node::Num(number))) => Some(Node::Num(number)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::decoded;

    #[test]
    fn undoes_percent_encoding() {
        assert_eq!(decoded("a%20b+c%C3%A9%4"), "a b cé%4");
    }
}
