//! What is shipped, inside the program: the catalogue and the campaigns that use it, so that an
//! installed program needs no other file.

/// A file: its path as a campaign includes it, and its text.
pub type Shipped = (&'static str, &'static str);

macro_rules! shipped {
    ($path:literal) => {
        ($path, include_str!(concat!("../../runs/", $path)))
    };
}

/// Every file of the catalogue.
pub const CATALOGUE: &[Shipped] = &[
    shipped!("catalogue/access/cabin-lock.toml"),
    shipped!("catalogue/access/docking.toml"),
    shipped!("catalogue/access/dual-chamber-dust.toml"),
    shipped!("catalogue/access/dual-chamber.toml"),
    shipped!("catalogue/access/module-side-hatch.toml"),
    shipped!("catalogue/access/rover-side-hatch.toml"),
    shipped!("catalogue/access/rover-suitlock.toml"),
    shipped!("catalogue/access/rover-suitport-pair.toml"),
    shipped!("catalogue/access/single-chamber.toml"),
    shipped!("catalogue/access/suitlock.toml"),
    shipped!("catalogue/access/suitport-pair.toml"),
    shipped!("catalogue/failure/hatches.toml"),
    shipped!("catalogue/failure/people.toml"),
    shipped!("catalogue/failure/ports.toml"),
    shipped!("catalogue/failure/pumps.toml"),
    shipped!("catalogue/failure/rover.toml"),
    shipped!("catalogue/failure/stages.toml"),
    shipped!("catalogue/suit/suits.toml"),
];

/// Campaigns by name, with what each is in a few words.
pub const CAMPAIGNS: &[(&str, &str, &str)] = &[
    ("larkspur", "Moon, 165 days, crew of 5", include_str!("../../runs/larkspur/campaign.toml")),
    ("ochre", "Mars, 480 days, crew of 6", include_str!("../../runs/ochre/campaign.toml")),
    (
        "teasel",
        "Moon, 7 days, crew of 2 in a lander without an airlock",
        include_str!("../../runs/teasel/campaign.toml"),
    ),
];

/// Access systems of the catalogue: name and text.
pub fn systems() -> impl Iterator<Item = Shipped> {
    let stem = |path: &'static str| path.strip_prefix("catalogue/access/")?.strip_suffix(".toml");
    CATALOGUE.iter().filter_map(move |(path, text)| Some((stem(path)?, *text)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;
    use std::path::Path;

    /// Names of the entries of a folder of the repository.
    fn names(folder: &str) -> BTreeSet<String> {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        let entries = std::fs::read_dir(folder).unwrap();
        entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect()
    }

    #[test]
    fn every_file_of_the_catalogue_is_inside() {
        let found: BTreeSet<String> = names("runs/catalogue")
            .iter()
            .flat_map(|kind| {
                let files = names(&format!("runs/catalogue/{kind}"));
                files.into_iter().map(move |f| format!("catalogue/{kind}/{f}"))
            })
            .collect();
        let inside: BTreeSet<String> = CATALOGUE.iter().map(|(p, _)| p.to_string()).collect();
        assert_eq!(inside, found);
        assert!(systems().count() >= 7);
    }

    #[test]
    fn every_campaign_is_inside() {
        let campaign = |name: &String| {
            let home = Path::new(env!("CARGO_MANIFEST_DIR"));
            home.join("runs").join(name).join("campaign.toml").is_file()
        };
        let found: BTreeSet<String> = names("runs").into_iter().filter(campaign).collect();
        assert!(!found.is_empty());
        let inside: BTreeSet<String> = CAMPAIGNS.iter().map(|c| c.0.to_string()).collect();
        assert_eq!(inside, found);
    }
}
