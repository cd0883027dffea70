//! Where a line is: `site/machine/line`.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::key::Key;
use crate::misread::Misread;

/// The address of a line. Prints and parses as `fernhollow/counter-1/3`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Address {
    /// Key of the site.
    pub site: Key,
    /// Key of the machine within the site.
    pub machine: Key,
    /// Key of the line within the machine.
    pub line: Key,
}

impl Address {
    /// An address from three keys as text.
    ///
    /// # Errors
    ///
    /// If one of them cannot be a key.
    pub fn new(site: &str, machine: &str, line: &str) -> Result<Self, Misread> {
        Ok(Self { site: site.parse()?, machine: machine.parse()?, line: line.parse()? })
    }
}

impl FromStr for Address {
    type Err = Misread;

    fn from_str(text: &str) -> Result<Self, Misread> {
        let mut parts = text.split('/');
        match (parts.next(), parts.next(), parts.next(), parts.next()) {
            (Some(site), Some(machine), Some(line), None) => Self::new(site, machine, line),
            _ => Err(Misread::new(
                format!("`{text}` is not the address of a line"),
                "write it as site/machine/line: `fernhollow/counter-1/3`",
            )),
        }
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{}/{}/{}", self.site, self.machine, self.line))
    }
}

impl TryFrom<String> for Address {
    type Error = Misread;

    fn try_from(text: String) -> Result<Self, Misread> {
        text.parse()
    }
}

impl From<Address> for String {
    fn from(address: Address) -> Self {
        address.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_reads_as_it_prints() {
        let text = "fernhollow/counter-1/3";
        assert_eq!(text.parse::<Address>().unwrap().to_string(), text);
        for bad in ["", "a/b", "a/b/c/d", "a//c", "A/b/c"] {
            assert!(bad.parse::<Address>().is_err(), "{bad}");
        }
    }
}
