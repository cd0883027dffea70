//! Tests of the files: what is written reads back, and nothing panics.

use proptest::prelude::*;

use super::*;
use crate::fault::passes;
use crate::testing::estate;

proptest! {
    #[test]
    fn what_is_written_reads_back_the_same(estate in estate()) {
        let files = write(&estate);
        let (read, faults) = read(&files);
        prop_assert!(passes(&faults), "{faults:#?}");
        prop_assert_eq!(&read, &estate);
        prop_assert_eq!(write(&read), files);
    }

    #[test]
    fn any_bytes_are_read_without_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        fuzz::fuzz_toml(&bytes);
        fuzz::fuzz_csv(&bytes);
    }

    /// Bytes cut out of a good file, put in elsewhere.
    #[test]
    fn damaged_files_are_read_without_panic(
        estate in estate(), file in any::<prop::sample::Index>(),
        from in any::<prop::sample::Index>(), to in any::<prop::sample::Index>(), put in ".{0,3}",
    ) {
        let files = write(&estate);
        let (name, bytes) = files.iter().nth(file.index(files.len())).unwrap();
        let (a, b) = (from.index(bytes.len() + 1), to.index(bytes.len() + 1));
        let damaged = [&bytes[..a.min(b)], put.as_bytes(), &bytes[a.max(b)..]].concat();
        fuzz::fuzz_toml(&damaged);
        fuzz::fuzz_csv(&damaged);
        let name = name.clone();
        let mut files = files;
        files.insert(name, damaged);
        fuzz::check(files);
    }
}

#[test]
fn the_small_estate_is_good() {
    let (estate, faults) = read(&fuzz::small());
    assert!(faults.is_empty(), "{faults:#?}");
    assert_eq!(estate.lines().count(), 1);
}

#[test]
fn brackets_without_end_are_a_fault_and_no_crash() {
    for bytes in
        ["[".repeat(100_000), "a=".to_owned() + &"[".repeat(100_000), "a.".repeat(50_000) + "b = 1"]
    {
        fuzz::fuzz_toml(bytes.as_bytes());
    }
}
