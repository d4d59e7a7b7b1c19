//! Where everything of a folio will lie on its site, held against each other before anything is
//! made: names that cannot be published are told at the writer's files.

use super::files::{OWN_THEME, whole};
use super::names::{NameFault, Register, check_name};
use crate::folio::Folio;
use crate::site::theme::{asset_address, built_in_assets};
use crate::slip::Slip;
use crate::view_model::made_addresses;
use std::collections::BTreeMap;

/// The addresses of a site, each with the file that it comes from; made ones with none.
pub(super) struct Addresses {
    register: Register,
    owners: BTreeMap<String, Option<String>>,
    pub(super) slips: Vec<Slip>,
}

impl Addresses {
    /// Those of a folio that are known before its pages are judged. `theme` are the files of its
    /// own theme.
    pub(super) fn planned(folio: &Folio, theme: &[String]) -> Addresses {
        let mut planned =
            Addresses { register: Register::default(), owners: BTreeMap::new(), slips: Vec::new() };
        // What is not the writer's comes first, so that the writer's file is complained of.
        let own =
            |asset: &str| theme.iter().any(|name| name.strip_prefix(OWN_THEME) == Some(asset));
        for asset in built_in_assets().filter(|asset| !own(asset)) {
            planned.take(&asset_address(asset), None);
        }
        for name in theme.iter().filter(|name| !name.ends_with(".html")) {
            let asset = name.strip_prefix(OWN_THEME).unwrap_or(name);
            planned.take(&asset_address(asset), Some(name));
        }
        for (address, owner) in made_addresses(folio) {
            planned.take(&address, owner);
        }
        for page in &folio.pages {
            planned.take(&page.address, Some(&page.name));
        }
        planned
    }

    /// Adds one; tells what is wrong with it.
    pub(super) fn take(&mut self, address: &str, owner: Option<&str>) {
        let entered = check_name(address).and_then(|()| self.register.enter(address));
        if let Err(fault) = entered {
            self.slips.extend(owner.map(|owner| self.slip(owner, address, &fault)));
            return;
        }
        self.owners.insert(address.to_owned(), owner.map(str::to_owned));
    }

    fn slip(&self, owner: &str, address: &str, fault: &NameFault) -> Slip {
        let message = match fault {
            NameFault::Bad { why, .. } => {
                format!("this cannot be published as `{address}`: {why}")
            }
            NameFault::Twice { other, .. } => match self.owners.get(other) {
                Some(Some(other)) if address.to_lowercase() == address => {
                    format!("this would be published as `{address}`, and so would {other}")
                }
                Some(Some(other)) => format!(
                    "this would be published as `{address}`, which is on some disks the same name \
                     as that of {other}"
                ),
                _ => format!("`{address}` is a part of every site and no name for this"),
            },
        };
        Slip::stop("address-unusable", whole(owner), message).help("rename the file")
    }
}
