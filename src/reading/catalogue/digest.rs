//! Digest of what is shipped: the same wherever the data files are the same, byte for byte.

use std::sync::LazyLock;

use sha2::{Digest as _, Sha256};

use super::rows::{DataFile, data_file};

/// Every data file, by its name.
const FILES: [DataFile; 35] = [
    data_file!("buffer_vessels.csv"),
    data_file!("circulator_pumps.csv"),
    data_file!("circulators.csv"),
    data_file!("conducting_plates.csv"),
    data_file!("coverings.csv"),
    data_file!("cylinders.csv"),
    data_file!("defaults.csv"),
    data_file!("expansion_vessels.csv"),
    data_file!("fan_convector_outputs.csv"),
    data_file!("fan_convector_speeds.csv"),
    data_file!("fan_convectors.csv"),
    data_file!("floor_board_outputs.csv"),
    data_file!("floor_boards.csv"),
    data_file!("floor_tubes.csv"),
    data_file!("heat_source_points.csv"),
    data_file!("heat_source_pumps.csv"),
    data_file!("heat_sources.csv"),
    data_file!("insulation_boards.csv"),
    data_file!("labour.csv"),
    data_file!("manifold_feeds.csv"),
    data_file!("manifolds.csv"),
    data_file!("materials.csv"),
    data_file!("pipe_insulation.csv"),
    data_file!("radiators.csv"),
    data_file!("room_uses.csv"),
    data_file!("rules.csv"),
    data_file!("screeds.csv"),
    data_file!("stations.csv"),
    data_file!("sundries.csv"),
    data_file!("terms.csv"),
    data_file!("towel_rails.csv"),
    data_file!("tubes.csv"),
    data_file!("typical_u_values.csv"),
    data_file!("typology.csv"),
    data_file!("valve_presets.csv"),
];

/// The digest of every data file that is shipped, as 64 hexadecimal digits; reckoned once a process.
///
/// # Examples
/// ```
/// assert_eq!(tundish_reading::catalogue::digest::shipped().len(), 64);
/// ```
#[must_use]
pub fn shipped() -> &'static str {
    static SHIPPED: LazyLock<String> = LazyLock::new(|| digest(FILES.map(|file| (file.name, file.text.as_bytes()))));
    &SHIPPED
}

/// The digest of files in their order, each a name and what it holds: SHA-256 (FIPS 180-4) over, file by file, the name, a
/// byte of nothing, the length in eight bytes with the least first, and the bytes. So no two lists of files look alike to it.
///
/// # Examples
/// ```
/// use tundish_reading::catalogue::digest::digest;
/// assert_ne!(digest([("a.csv", "12".as_bytes())]), digest([("a.csv", "1".as_bytes()), ("2", "".as_bytes())]));
/// ```
#[must_use]
pub fn digest<'f>(files: impl IntoIterator<Item = (&'f str, &'f [u8])>) -> String {
    let mut hash = Sha256::new();
    for (name, bytes) in files {
        hash.update(name.as_bytes());
        hash.update([0]);
        hash.update((bytes.len() as u64).to_le_bytes());
        hash.update(bytes);
    }
    hexadecimal(&hash.finalize())
}

/// The digest of a text: SHA-256 (FIPS 180-4), in hexadecimal.
///
/// # Examples
/// ```
/// // FIPS 180-4's own example of one block
/// let expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
/// assert_eq!(tundish_reading::catalogue::digest::sha256("abc"), expected);
/// ```
#[must_use]
pub fn sha256(text: &str) -> String {
    hexadecimal(&Sha256::digest(text))
}

fn hexadecimal(bytes: &[u8]) -> String {
    let halves = bytes.iter().flat_map(|byte| [byte >> 4, byte & 15]);
    halves.filter_map(|half| char::from_digit(half.into(), 16)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn files() -> Vec<(&'static str, Vec<u8>)> {
        FILES.iter().map(|file| (file.name, file.text.as_bytes().to_vec())).collect()
    }

    fn digest_of(files: &[(&str, Vec<u8>)]) -> String {
        digest(files.iter().map(|(name, bytes)| (*name, bytes.as_slice())))
    }

    #[test]
    fn every_file_of_the_folder_counts_in_the_order_of_names() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/catalogue/data");
        let names = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        let mut names: Vec<String> = names.collect();
        names.sort();
        assert_eq!(FILES.map(|file| file.name).to_vec(), names);
    }

    /// Against `sha256sum` of GNU coreutils:
    /// `printf 'a.csv\0\4\0\0\0\0\0\0\0x,y\nb.csv\0\0\0\0\0\0\0\0\0' | sha256sum`.
    #[test]
    fn two_files_have_the_digest_that_another_program_gives_them() {
        let known = "7eaf08e15a96fd437345817f176aec58641fbc80902e3c3bee3569e9be2b61a4";
        assert_eq!(digest([("a.csv", "x,y\n".as_bytes()), ("b.csv", "".as_bytes())]), known);
    }

    #[test]
    fn any_byte_of_any_file_changes_it() {
        let shipped = files();
        assert_eq!(digest_of(&shipped), super::shipped());
        let mut seen = std::collections::HashSet::from([super::shipped().to_owned()]);
        for at in 0..shipped.len() {
            let length = shipped[at].1.len();
            for place in [0, length / 2, length - 1] {
                let mut altered = shipped.clone();
                altered[at].1[place] ^= 1;
                assert!(seen.insert(digest_of(&altered)), "byte {place} of {}", shipped[at].0);
            }
            let mut renamed = shipped.clone();
            renamed[at].0 = "another.csv";
            assert!(seen.insert(digest_of(&renamed)), "the name of {}", shipped[at].0);
        }
        // a line that moves to the file beside it
        let mut moved = shipped.clone();
        let line = moved[0].1.split_off(shipped[0].1.len() - 10);
        moved[1].1.splice(0..0, line);
        assert!(seen.insert(digest_of(&moved)));
    }
}
