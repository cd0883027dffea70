//! The tree against the published vectors of certificate transparency, and against damaged proofs.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use proptest::prelude::*;

use super::*;

/// The eight leaves of the reference tree (transparency-dev/merkle, `testonly/constants.go`; first published
/// with Google's certificate-transparency `merkle_tree_test.cc`).
const LEAVES: [&[u8]; 8] = [
    b"",
    &[0x00],
    &[0x10],
    &[0x20, 0x21],
    &[0x30, 0x31],
    &[0x40, 0x41, 0x42, 0x43],
    &[0x50, 0x51, 0x52, 0x53, 0x54, 0x55, 0x56, 0x57],
    &[
        0x60, 0x61, 0x62, 0x63, 0x64, 0x65, 0x66, 0x67, 0x68, 0x69, 0x6a, 0x6b, 0x6c, 0x6d, 0x6e,
        0x6f,
    ],
];

/// Roots over the first 0 to 8 of them, from the same place.
const ROOTS: [&str; 9] = [
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
];

fn reference() -> Vec<Hash> {
    LEAVES.iter().map(|leaf| leaf_hash(leaf)).collect()
}

fn decode(base64: &str) -> Hash {
    Hash(STANDARD.decode(base64).unwrap().try_into().unwrap())
}

/// Leaves of which no two are alike.
fn leaves(n: usize) -> Vec<Hash> {
    (0..n).map(|i| leaf_hash(&i.to_be_bytes())).collect()
}

/// A second tree, level by level: pair neighbours, and carry an odd one up unchanged.
fn naive(leaves: &[Hash]) -> Hash {
    let mut level = leaves.to_vec();
    while level.len() > 1 {
        level = level
            .chunks(2)
            .map(|pair| match pair {
                [left, right] => sha256(&[&[&[1][..], &left.0, &right.0].concat()]),
                odd => odd[0],
            })
            .collect();
    }
    level.first().copied().unwrap_or_else(empty_root)
}

#[test]
fn published_hashes() {
    // transparency-dev/merkle, `rfc6962/rfc6962_test.go`.
    assert_eq!(empty_root().to_string(), ROOTS[0]);
    assert_eq!(leaf_hash(b"").to_string(), ROOTS[1]);
    assert_eq!(
        leaf_hash(b"L123456").to_string(),
        "395aa064aa4c29f7010acfe3f25db9485bbd4b91897b6ad7ad547639252b4d56"
    );
    // Its node vector is over texts, not hashes; the mark 0x01 goes before them just so.
    let node = sha256(&[&[1], b"N123", b"N456"]);
    assert_eq!(
        node.to_string(),
        "aa217fe888e47007fa15edab33c2b492a722cb106c64667fc2b044444de66bbb"
    );
    let (left, right) = (leaf_hash(b""), leaf_hash(&[0]));
    assert_eq!(node_hash(&left, &right).to_string(), ROOTS[2]);
}

#[test]
fn published_roots() {
    for (n, expected) in ROOTS.iter().enumerate() {
        let leaves = &reference()[..n];
        assert_eq!(&root(leaves).to_string(), expected);
        assert_eq!(&leaves.iter().copied().collect::<Frontier>().root().to_string(), expected);
    }
}

#[test]
fn published_inclusion_proofs() {
    // transparency-dev/merkle, `testdata/inclusion/{2,3,4}/happy-path.json`.
    let cases: [(u64, usize, &[&str]); 3] = [
        (
            5,
            8,
            &[
                "vBoGQ7EuTS18d5GPROD095qDi2z57FtcKD4fTYhZnms=",
                "yoVOoSjtBQtBs1/8G4e46yveRh6eO1WW7Oa51ZdaCuA=",
                "037kGJdt2VdTwcc4Yrk5j6Kiz5tP8P3+izDNlSCWFLc=",
            ],
        ),
        (2, 3, &["+sVCA+fMaWzw38tCySodnbr3CtnmIfS9jZhmLwDjwSU="]),
        (
            1,
            5,
            &[
                "bjQLnP+zepicpUTmu3gKLHiQHT+zNzh2hRGjBhevoB0=",
                "Xwg/ChozygdqlSeYMlgNs+DvRYS9/x9UyKNg9Q3jAx4=",
                "vBoGQ7EuTS18d5GPROD095qDi2z57FtcKD4fTYhZnms=",
            ],
        ),
    ];
    for (index, size, proof) in cases {
        let proof: Vec<Hash> = proof.iter().map(|hash| decode(hash)).collect();
        let all = reference();
        assert_eq!(inclusion_proof(&all[..size], index), Some(proof.clone()));
        let leaf = &all[usize::try_from(index).unwrap()];
        assert_eq!(verify_inclusion(leaf, index, size as u64, &proof, &root(&all[..size])), Ok(()));
    }
}

#[test]
fn published_consistency_proofs() {
    // transparency-dev/merkle, `testdata/consistency/{1,2,3,4}/happy-path.json`.
    let cases: [(usize, usize, &[&str]); 4] = [
        (
            1,
            8,
            &[
                "lqKW0iTyhcZ77pPDD4owkVfw2qNdxbh+QQt4YwoJz8c=",
                "Xwg/ChozygdqlSeYMlgNs+DvRYS9/x9UyKNg9Q3jAx4=",
                "a0eq8p7jwq+a+Im8H7klTavTEXfxYjLdaqsDXKOb9uQ=",
            ],
        ),
        (
            6,
            8,
            &[
                "DrxdNDf74tsVi58Sah0RjjCBgQMdCpSfje3t68VY72o=",
                "yoVOoSjtBQtBs1/8G4e46yveRh6eO1WW7Oa51ZdaCuA=",
                "037kGJdt2VdTwcc4Yrk5j6Kiz5tP8P3+izDNlSCWFLc=",
            ],
        ),
        (
            2,
            5,
            &[
                "Xwg/ChozygdqlSeYMlgNs+DvRYS9/x9UyKNg9Q3jAx4=",
                "vBoGQ7EuTS18d5GPROD095qDi2z57FtcKD4fTYhZnms=",
            ],
        ),
        (
            6,
            7,
            &[
                "DrxdNDf74tsVi58Sah0RjjCBgQMdCpSfje3t68VY72o=",
                "sIaT7C5yFZcTBkHoIR5+7cy0wmQTlj7ubB4u0W/7Gl8=",
                "037kGJdt2VdTwcc4Yrk5j6Kiz5tP8P3+izDNlSCWFLc=",
            ],
        ),
    ];
    for (old, new, proof) in cases {
        let proof: Vec<Hash> = proof.iter().map(|hash| decode(hash)).collect();
        let all = reference();
        assert_eq!(consistency_proof(&all[..new], old as u64), Some(proof.clone()));
        let (old_root, new_root) = (root(&all[..old]), root(&all[..new]));
        assert_eq!(
            verify_consistency(old as u64, new as u64, &proof, &old_root, &new_root),
            Ok(())
        );
    }
}

#[test]
fn the_frontier_has_the_root_of_the_whole_tree() {
    let all = leaves(300);
    let mut frontier = Frontier::new();
    for n in 0..=300 {
        let expected = naive(&all[..n]);
        assert_eq!((frontier.size(), frontier.root()), (n as u64, expected));
        assert_eq!(root(&all[..n]), expected);
        let bytes = frontier.to_bytes();
        assert_eq!(Frontier::from_bytes(&bytes), Ok(frontier.clone()));
        assert!(Frontier::from_bytes(&bytes[..bytes.len() - 1]).is_err());
        assert!(Frontier::from_bytes(&[&bytes[..], &[0]].concat()).is_err());
        if n < 300 {
            frontier.push(all[n]);
        }
    }
    assert_eq!(Frontier::from_bytes(&[]), Err(FrontierError::NoSize { found: 0 }));
    assert_eq!(Frontier::from_bytes(&[255; 8]), Err(FrontierError::TooBig { size: u64::MAX }));
}

/// Proofs damaged in every way that the published wrong cases are: bits flipped, hashes dropped, added before
/// and behind, swapped; index, sizes, roots and leaf wrong.
fn damaged(proof: &[Hash]) -> Vec<Vec<Hash>> {
    let mut all = Vec::new();
    for i in 0..proof.len() {
        for bit in [0, 7, 100, 255] {
            let mut flipped = proof.to_vec();
            flipped[i].0[bit / 8] ^= 1 << (bit % 8);
            all.push(flipped);
        }
        let mut dropped = proof.to_vec();
        dropped.remove(i);
        all.push(dropped);
        if i > 0 {
            let mut swapped = proof.to_vec();
            swapped.swap(i - 1, i);
            all.push(swapped);
        }
        all.push([&proof[i..=i], proof].concat());
        all.push([proof, &proof[i..=i]].concat());
    }
    for garbage in [empty_root(), Hash([0; 32])] {
        all.push([&[garbage], proof].concat());
        all.push([proof, &[garbage]].concat());
    }
    if !proof.is_empty() {
        all.push(Vec::new());
    }
    all
}

#[test]
fn every_inclusion_proof_holds_and_no_damaged_one() {
    let all = leaves(70);
    for size in 1..=70_usize {
        let top = root(&all[..size]);
        for index in 0..size {
            let (leaf, i, n) = (all[index], index as u64, size as u64);
            let proof = inclusion_proof(&all[..size], i).unwrap();
            assert_eq!(verify_inclusion(&leaf, i, n, &proof, &top), Ok(()), "{index} of {size}");
            for wrong in damaged(&proof) {
                assert!(verify_inclusion(&leaf, i, n, &wrong, &top).is_err(), "{index} of {size}");
            }
            for other in (0..n + 2).filter(|&other| other != i) {
                assert!(verify_inclusion(&leaf, other, n, &proof, &top).is_err());
            }
            // Sizes around it. (Only where the way up is the same for both can a proof not tell them apart: the
            // root speaks for its own size in a checkpoint, so the size is never taken from the prover.)
            for other in [0, n / 2, n * 2, n * 4 + 1] {
                assert!(
                    other == n || verify_inclusion(&leaf, i, other, &proof, &top).is_err(),
                    "{index}, {size} as {other}"
                );
            }
            assert!(verify_inclusion(&top, i, n, &proof, &leaf).is_err() || size == 1);
            assert!(verify_inclusion(&leaf, i, n, &proof, &Hash([0; 32])).is_err());
        }
        assert_eq!(inclusion_proof(&all[..size], size as u64), None);
    }
    assert_eq!(inclusion_proof(&[], 0), None);
    let huge = verify_inclusion(&all[0], u64::MAX - 1, u64::MAX, &all, &all[1]);
    assert!(matches!(huge, Err(ProofError::Length { .. })), "{huge:?}");
}

#[test]
fn every_consistency_proof_holds_and_no_damaged_one() {
    let all = leaves(40);
    for new in 0..=40_usize {
        let new_root = root(&all[..new]);
        for old in 0..=new {
            let (m, n, old_root) = (old as u64, new as u64, root(&all[..old]));
            let proof = consistency_proof(&all[..new], m).unwrap();
            assert_eq!(
                verify_consistency(m, n, &proof, &old_root, &new_root),
                Ok(()),
                "{old} to {new}"
            );
            for wrong in damaged(&proof) {
                assert!(
                    verify_consistency(m, n, &wrong, &old_root, &new_root).is_err(),
                    "{old} to {new}"
                );
            }
            assert!(verify_consistency(m, n, &proof, &Hash([0; 32]), &new_root).is_err());
            assert!(
                old == 0 || verify_consistency(m, n, &proof, &old_root, &Hash([0; 32])).is_err()
            );
            assert!(old == new || verify_consistency(m, n, &proof, &new_root, &old_root).is_err());
            assert!(old == new || verify_consistency(n, m, &proof, &new_root, &old_root).is_err());
        }
        assert_eq!(consistency_proof(&all[..new], new as u64 + 1), None);
    }
    assert!(verify_consistency(u64::MAX - 1, u64::MAX, &all, &all[0], &all[1]).is_err());
}

#[test]
fn a_history_that_was_changed_is_not_consistent() {
    let before = leaves(13);
    let mut after = leaves(21);
    after[4] = leaf_hash(b"what really happened");
    let proof = consistency_proof(&after, 13).unwrap();
    assert!(verify_consistency(13, 21, &proof, &root(&before), &root(&after)).is_err());
}

proptest! {
    #[test]
    fn random_proofs_never_verify(index in any::<u64>(), size in any::<u64>(), bytes in proptest::collection::vec(any::<[u8; 32]>(), 0..70)) {
        let proof: Vec<Hash> = bytes.into_iter().map(Hash).collect();
        let top = root(&leaves(3));
        prop_assert!(verify_inclusion(&leaf_hash(b"x"), index, size, &proof, &top).is_err());
        if index > 0 && index != size {
            prop_assert!(verify_consistency(index, size, &proof, &leaf_hash(b"x"), &top).is_err());
        }
    }

    #[test]
    fn hashes_print_and_read(bytes in any::<[u8; 32]>(), noise in "\\PC{0,70}") {
        let hash = Hash(bytes);
        prop_assert_eq!(hash.to_string().parse(), Ok(hash));
        prop_assert_eq!(serde_json::from_str::<Hash>(&serde_json::to_string(&hash).unwrap()).unwrap(), hash);
        if let Ok(read) = noise.parse::<Hash>() {
            prop_assert_eq!(read.to_string(), noise);
        }
    }

    #[test]
    fn any_bytes_are_a_frontier_or_an_error(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        if let Ok(frontier) = Frontier::from_bytes(&bytes) {
            prop_assert_eq!(frontier.to_bytes(), bytes);
        }
    }
}
