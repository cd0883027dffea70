//! Finding a site by what people call it: its key or its name, in any letter case.

use ouncewise_estate::{Estate, Key};

use crate::failure::Failure;

/// How many sites are listed where none is meant.
const LISTED: usize = 12;

/// The site that is meant.
///
/// # Errors
///
/// If there is none, or several are called so; it says which there are.
pub fn site_called(estate: &Estate, text: &str) -> Result<Key, Failure> {
    let said = text.trim();
    if let Some((key, _)) = estate.sites.get_key_value(said) {
        return Ok(key.clone());
    }
    // Without case, accents, spaces and punctuation: `Fern Hollow` and `fern-hollow` are one.
    let fold = |text: &str| {
        Key::suggest(text).map_or_else(|| text.to_lowercase(), |key| key.replace('-', ""))
    };
    let wanted = fold(said);
    let called: Vec<&Key> = estate
        .sites
        .iter()
        .filter(|(key, site)| fold(key) == wanted || fold(&site.name) == wanted)
        .map(|(key, _)| key)
        .collect();
    let list = |keys: &[&Key]| keys.iter().map(|key| key.as_str()).collect::<Vec<_>>().join(", ");
    match called.as_slice() {
        [one] => Ok((*one).clone()),
        [] => {
            let failure = Failure::missing(format!("there is no site `{said}`"));
            let keys: Vec<&Key> = estate.sites.keys().collect();
            let near = ouncewise_estate::fault::nearest(said, keys.iter().map(|key| &***key));
            Err(match near {
                Some(near) => failure.hint(format!("did you mean `{near}`?")),
                None if keys.is_empty() => failure.hint("no site is described yet"),
                None if keys.len() <= LISTED => failure.hint(format!("there are {}", list(&keys))),
                None => failure.hint(format!(
                    "a site is named by its key or its name; there are {}, and {} more",
                    list(&keys[..LISTED]),
                    keys.len() - LISTED
                )),
            })
        }
        several => Err(Failure::missing(format!("several sites are called `{said}`"))
            .hint(format!("name one by its key: {}", list(several)))),
    }
}

#[cfg(test)]
mod tests {
    use ouncewise_estate::files;

    use super::*;

    #[test]
    fn a_site_is_found_by_key_and_by_name() {
        let (mut estate, _) = files::read(&ouncewise_estate::starter::files());
        let twin = estate.sites["rowan-end"].clone();
        estate.sites.get_mut("rowan-end").unwrap().name = "Rowan’s End".to_owned();
        for said in ["rowan-end", "Rowan-End", " ROWAN END ", "Rowan’s End"] {
            assert_eq!(site_called(&estate, said).unwrap(), *"rowan-end", "{said}");
        }
        let none = site_called(&estate, "zzz").unwrap_err();
        assert!(none.missing && none.hint.unwrap().contains("rowan-end"));
        assert!(
            site_called(&estate, "rowan-ent").unwrap_err().hint.unwrap().contains("did you mean")
        );
        estate.sites.insert(
            "other".parse().unwrap(),
            ouncewise_estate::Site { name: "Rowan’s End".to_owned(), ..twin },
        );
        let several = site_called(&estate, "rowan’s end").unwrap_err();
        assert!(several.hint.unwrap().contains("other, rowan-end"));
        assert_eq!(site_called(&estate, "rowan-end").unwrap(), *"rowan-end", "a key says which");
        assert!(site_called(&Estate::default(), "").unwrap_err().hint.is_some());
    }
}
