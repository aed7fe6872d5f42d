//! JSON Pointer (RFC 6901).

/// The names of a pointer, in order; nothing if it is none.
pub(super) fn names(pointer: &str) -> Option<Vec<String>> {
    if pointer.is_empty() {
        return Some(Vec::new());
    }
    pointer.strip_prefix('/')?.split('/').map(name).collect()
}

/// A name as it is meant: `~1` stands for `/` and `~0` for `~` (section 4), and nothing else begins with `~`.
fn name(written: &str) -> Option<String> {
    let mut parts = written.split('~');
    let mut name = parts.next()?.to_owned();
    for part in parts {
        let meant = match part.as_bytes().first()? {
            b'0' => '~',
            b'1' => '/',
            _ => return None,
        };
        name.push(meant);
        name.push_str(&part[1..]);
    }
    Some(name)
}

/// A name as a pointer has it.
#[must_use]
pub fn escaped(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}

/// Place in a list: no sign, no leading zero (section 4).
pub(super) fn place(name: &str) -> Option<usize> {
    let is_plain = name == "0" || (!name.starts_with('0') && name.bytes().all(|byte| byte.is_ascii_digit()));
    name.parse().ok().filter(|_| is_plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 6901, section 5, and what its section 4 refuses.
    #[test]
    fn names_are_read_as_the_standard_writes_them() {
        for (pointer, expected) in [("", &[][..]), ("/foo", &["foo"]), ("/foo/0", &["foo", "0"]), ("/", &[""])] {
            assert_eq!(names(pointer).unwrap(), expected, "{pointer}");
        }
        for (pointer, expected) in [("/a~1b", "a/b"), ("/m~0n", "m~n"), ("/~01", "~1"), ("/ ", " "), ("/k\"l", "k\"l")]
        {
            assert_eq!(names(pointer).unwrap(), [expected]);
            assert_eq!(format!("/{}", escaped(expected)), pointer);
        }
        for wrong in ["foo", "/~", "/~2", "/a~"] {
            assert_eq!(names(wrong), None, "{wrong}");
        }
        assert_eq!(
            (place("0"), place("10"), place("01"), place("-"), place("+1"), place("")),
            (Some(0), Some(10), None, None, None, None)
        );
    }
}
