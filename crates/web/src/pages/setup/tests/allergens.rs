//! A change off a product with an allergen, by forms alone: told before it is recorded, and on the line's page until every part
//! is renewed. HY-34 (CALC).

use ouncewise_ledger::{Body, Draft, Subject};

use super::set;
use crate::testing::{caught, demo, get};

const LINE: &str = "/setup/sites/fernhollow/machines/counter-1/lines/2";

/// A part of line 2 put in on the day after the change.
fn renewed(part: &str) -> Draft {
    let mut draft = caught("fernhollow", "counter-1", "2", "2026-03-03", "1 mL", 7);
    draft.record.subject = Subject::line("counter-1", "2").with_part(part);
    draft.record.body = Body::PartReplaced { number: None, lot: None, why: None };
    draft
}

#[tokio::test]
async fn a_change_off_an_allergen_is_told_until_the_parts_are_renewed() {
    let here = demo().await;
    let app = &here.app;
    set(app, "/setup/products/honey", &[("name", "Smoked honey"), ("allergens", "milk")]).await;
    let family = "name = \"Screw trim\"\nmetering = \"rate\"\n[adjuster]\nkind = \"screw\"\nper_turn = \"40 %\"\nmore = \"anticlockwise\"\n\
                  [parts.seal]\nname = \"valve seal\"\nlubricate = \"must\"\n";
    set(app, "/setup/files", &[("name", "families/screw.toml"), ("text", family)]).await;
    assert!(!get(app, "/sites/fernhollow/counter-1/2").await.1.contains("Allergens"));
    let fields =
        [("product", "gooseberry"), ("target", "30 mL"), ("tolerance", "5 %"), ("draw", "7 s")];
    let page = set(app, LINE, &fields).await;
    for words in [
        "What flushing cannot show",
        "cannot be shown clean of milk",
        "replace tubes and valve seal",
        "WARNING: An allergen",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    let line = async || get(app, "/sites/fernhollow/counter-1/2").await.1;
    let page = line().await;
    assert!(
        page.contains(
            "Changed 2 Mar 2026. Smoked honey to Gooseberry: cannot be shown clean of milk"
        ),
        "{page}"
    );
    here.store.append(vec![renewed("seal")]).await.unwrap();
    assert!(line().await.contains("replace tubes, or keep this line"), "{}", line().await);
    here.store.append(vec![renewed("tubes")]).await.unwrap();
    let page = line().await;
    assert!(page.contains("every part that milk touched was replaced"), "{page}");
    assert!(!page.contains("WARNING: An allergen"), "{page}");
    // What the manual says of lubricant stands where the parts are looked at.
    let (_, round) = get(app, "/sites/fernhollow/counter-1/round").await;
    assert!(
        round.contains("valve seal: lubricate: a thin film of food-grade lubricant"),
        "{round}"
    );
    // The program that asks is told the same.
    let (_, json) = get(app, "/api/v1/lines/fernhollow/counter-1/2").await;
    assert!(json.contains("\"shown_clean\":true"), "{json}");
}

#[tokio::test]
async fn each_food_code_tells_its_limits_of_food() {
    let here = demo().await;
    let (_, page) = get(&here.app, "/setup/profiles").await;
    // HY-18 (READ, FC 3-501.16) and Wales' 8 °C (READ, SI 2006/31 (W.5)).
    for words in [
        "held at 5 °C (41 °F) or under. (3-501.16(A)(2)",
        "held at 8 °C",
        "thrown away after 4 hours",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
}
