//! Checkpoints as C2SP `tlog-checkpoint` has them, and group trees.

use proptest::prelude::*;

use super::*;
use crate::merkle::{empty_root, inclusion_proof, verify_inclusion};
use crate::samples::HEX;

/// The example of C2SP `tlog-checkpoint`, with its signature.
const PUBLISHED: &str = "example.com/behind-the-sofa
20852163
CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=

— example.com/behind-the-sofa Az3grlgtzPICa5OS8npVmf1Myq/5IZniMp+ZJurmRDeOoRDe4URYN7u5/Zhcyv2q1gGzGku9nTo+zyWE+xeMcTOAYQ8=
";

#[test]
fn the_published_example_is_read_and_its_signature_left_alone() {
    let checkpoint: Checkpoint = PUBLISHED.parse().unwrap();
    assert_eq!((checkpoint.origin(), checkpoint.size), ("example.com/behind-the-sofa", 20_852_163));
    let body = PUBLISHED.split("\n\n").next().unwrap().to_owned() + "\n";
    assert_eq!(checkpoint.to_string(), body);
    assert_eq!(body.parse(), Ok(checkpoint));
}

#[test]
fn an_empty_ledger_has_a_checkpoint() {
    let text =
        Checkpoint::new("larkfield.example/fernhollow", 0, empty_root()).unwrap().to_string();
    assert_eq!(
        text,
        "larkfield.example/fernhollow\n0\n47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=\n"
    );
}

#[test]
fn what_is_no_checkpoint_is_refused_with_its_line() {
    let root = "CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=";
    let cases = [
        (String::new(), "line 1:"),
        ("a".to_owned(), "line 1:"),
        (format!("\n1\n{root}\n"), "line 1:"),
        (format!("a\r\n1\n{root}\n"), "line 1:"),
        ("a\n1\n".to_owned(), "line 3:"),
        (format!("a\n1\n{root}"), "line 3:"),
        (format!("a\n01\n{root}\n"), "line 2:"),
        (format!("a\n+1\n{root}\n"), "line 2:"),
        (format!("a\n\n{root}\n"), "line 2:"),
        (format!("a\n18446744073709551616\n{root}\n"), "line 2:"),
        (format!("a\n1\n{}\n", root.trim_end_matches('=')), "line 3:"),
        (format!("a\n1\n{}\n", root.replace("q2I=", "q2J=")), "line 3:"),
        (format!("a\n1\n{HEX}\n"), "line 3:"),
        (format!("a\n1\n{root}\nmore\n"), "line 4:"),
        (format!("a\n1\n{root}\n\n"), "line 5:"),
        (format!("a\n1\n{root}\n\n- a AAAAAAA=\n"), "line 5:"),
        (format!("a\n1\n{root}\n\n— a AAAA\n"), "line 5:"),
        (format!("a\n1\n{root}\n\n— a AAAAAAA=\n— a+b AAAAAAA=\n"), "line 6:"),
        (format!("a\n1\n{root}\n\n— a AAAAAAA="), "line 5:"),
    ];
    for (text, line) in cases {
        let error = text.parse::<Checkpoint>().unwrap_err().to_string();
        assert!(error.starts_with(line), "{text:?}: {error}");
    }
    assert_eq!(Checkpoint::new("a\nb", 0, empty_root()), Err(CheckpointError::Origin));
}

fn head(site: &str, size: u64) -> SiteHead {
    SiteHead { site: site.parse().unwrap(), size, root: merkle::leaf_hash(site.as_bytes()) }
}

#[test]
fn a_leaf_of_the_group_is_the_heads_canonical_bytes() {
    let head = SiteHead { root: HEX.parse().unwrap(), ..head("fernhollow", 12) };
    let bytes = format!(r#"{{"root":"{HEX}","site":"fernhollow","size":12}}"#);
    assert_eq!(group_leaves(&[head]), Ok(vec![merkle::leaf_hash(bytes.as_bytes())]));
}

#[test]
fn the_group_vouches_for_every_site_in_any_order() {
    let heads = [head("fernhollow", 12), head("@group", 3), head("alderford", 0), head("10", 7)];
    let mut turned = heads.clone();
    turned.reverse();
    let group = group_checkpoint("larkfield.example", &heads).unwrap();
    assert_eq!(group_checkpoint("larkfield.example", &turned).unwrap(), group);
    assert_eq!(group.size, 4);
    // In order of their bytes: 10, @group, alderford, fernhollow.
    let leaves = group_leaves(&heads).unwrap();
    let ours = merkle::leaf_hash(&canonical::to_bytes(&heads[0]).unwrap());
    let proof = inclusion_proof(&leaves, 3).unwrap();
    assert_eq!(verify_inclusion(&ours, 3, group.size, &proof, &group.root), Ok(()));

    let error = group_leaves(&[head("10", 7), head("2", 1), head("10", 8)]).unwrap_err();
    assert_eq!(error, CheckpointError::TwoHeads { site: "10".to_owned() });
    assert!(group_leaves(&[head("10", u64::MAX)]).is_err());
    assert_eq!(group_checkpoint("larkfield.example", &[]).unwrap().root, empty_root());
}

proptest! {
    #[test]
    fn checkpoints_print_and_read(origin in "[^\\p{Cc}]{1,30}", size in any::<u64>(), root in any::<[u8; 32]>()) {
        let checkpoint = Checkpoint::new(&origin, size, Hash(root)).unwrap();
        prop_assert_eq!(checkpoint.to_string().parse(), Ok(checkpoint));
    }

    #[test]
    fn any_text_is_a_checkpoint_or_an_error(text in "[a\\n0-9+/=— é]{0,60}", cut in any::<prop::sample::Index>(), with in "\\PC|\\n") {
        let _ = text.parse::<Checkpoint>();
        let chars: Vec<char> = PUBLISHED.chars().collect();
        let i = cut.index(chars.len());
        let damaged: String = chars[..i].iter().chain(with.chars().collect::<Vec<_>>().iter()).chain(&chars[i + 1..]).collect();
        if let Ok(read) = damaged.parse::<Checkpoint>() {
            prop_assert_eq!(read.to_string().parse(), Ok(read));
        }
    }
}
