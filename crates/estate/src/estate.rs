//! The whole estate: the group, and all that it has.

use std::collections::BTreeMap;

use crate::address::Address;
use crate::family::Family;
use crate::group::Group;
use crate::key::Key;
use crate::line::Line;
use crate::machine::Machine;
use crate::measure_kind::MeasureKind;
use crate::owner::Owner;
use crate::product::Product;
use crate::profile::OwnProfile;
use crate::site::Site;

/// The group, and all that it has. Retired things are kept, and marked.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Estate {
    /// The group and its settings.
    pub group: Group,
    /// Owners of sites.
    pub owners: BTreeMap<Key, Owner>,
    /// Families of machines.
    pub families: BTreeMap<Key, Family>,
    /// Products.
    pub products: BTreeMap<Key, Product>,
    /// Kinds of measures.
    pub measures: BTreeMap<Key, MeasureKind>,
    /// Our own jurisdiction profiles, beside those that ship.
    pub profiles: BTreeMap<Key, OwnProfile>,
    /// Sites.
    pub sites: BTreeMap<Key, Site>,
}

impl Estate {
    /// A machine.
    #[must_use]
    pub fn machine(&self, site: &str, machine: &str) -> Option<&Machine> {
        self.sites.get(site)?.machines.get(machine)
    }

    /// A line.
    #[must_use]
    pub fn line(&self, address: &Address) -> Option<&Line> {
        self.machine(&address.site, &address.machine)?.lines.get(&address.line)
    }

    /// The family of a machine.
    #[must_use]
    pub fn family_of(&self, site: &str, machine: &str) -> Option<&Family> {
        self.families.get(&self.machine(site, machine)?.family)
    }

    /// Whether doubtful records of a site are asked about: only where whose it is agreed.
    #[must_use]
    pub fn asks_about_doubtful(&self, site: &Site) -> bool {
        match &site.owner {
            Some(owner) => self.owners.get(owner).is_some_and(|owner| owner.ask_about_doubtful),
            None => self.group.ask_about_doubtful,
        }
    }

    /// What to call a line: its own name, else its product's, else its key.
    #[must_use]
    pub fn line_name<'a>(&'a self, address: &'a Address) -> &'a str {
        let Some(line) = self.line(address) else {
            return &address.line;
        };
        line.name
            .as_deref()
            .or_else(|| self.products.get(&line.product).map(|p| p.name.as_str()))
            .unwrap_or(&address.line)
    }

    /// What to call a line where it stands alone: with its key, if another line in use of its machine is called the same.
    #[must_use]
    pub fn line_label(&self, address: &Address) -> String {
        let name = self.line_name(address);
        let machine = self.machine(&address.site, &address.machine);
        let mut others = machine
            .into_iter()
            .flat_map(|machine| &machine.lines)
            .filter(|(key, line)| **key != address.line && !line.retired)
            .map(|(key, _)| Address { line: key.clone(), ..address.clone() });
        match others.any(|other| self.line_name(&other) == name) {
            true => format!("{name} (line {})", address.line),
            false => name.to_owned(),
        }
    }

    /// All lines with their addresses, retired ones too.
    pub fn lines(&self) -> impl Iterator<Item = (Address, &Line)> {
        self.sites.iter().flat_map(|(site, s)| {
            s.machines.iter().flat_map(move |(machine, m)| {
                m.lines.iter().map(move |(line, l)| {
                    let address = Address {
                        site: site.clone(),
                        machine: machine.clone(),
                        line: line.clone(),
                    };
                    (address, l)
                })
            })
        })
    }
}
