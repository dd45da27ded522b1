//! What goes into the cup.

use crate::chemistry::Salt;
use crate::quantity::Volume;

/// What a bottle holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Content {
    /// Iron(III) oxalate.
    Iron,
    /// Iron(III) oxalate that holds a chlorate.
    Chlorate,
    /// Ammonium iron(III) oxalate.
    AmmoniumIron,
    /// Ammonium iron(III) citrate.
    IronCitrate,
    /// Palladium(II) salt.
    Palladium,
    /// Platinum(II) salt.
    Platinum,
    /// Silver nitrate.
    Silver,
    /// Potassium hexacyanoferrate(III).
    Ferricyanide,
    /// Contrast agent: a platinum(IV) salt.
    Agent,
    /// Surfactant.
    Surfactant,
    /// A stock solution for baths; it goes into no mix.
    Stock,
}

/// How many contents there are.
pub const CONTENTS: usize = 11;

/// The word in the book, and as the page calls it.
const NAMES: [(&str, &str); CONTENTS] = [
    ("iron", "iron(III) oxalate"),
    ("chlorate", "iron(III) oxalate with chlorate"),
    ("ammonium-iron", "ammonium iron(III) oxalate"),
    ("iron-citrate", "ammonium iron(III) citrate"),
    ("palladium", "palladium"),
    ("platinum", "platinum"),
    ("silver", "silver nitrate"),
    ("ferricyanide", "potassium hexacyanoferrate(III)"),
    ("agent", "contrast agent"),
    ("surfactant", "surfactant"),
    ("stock", "stock solution for baths"),
];

impl Content {
    /// All of them, in the order they are dropped into the cup.
    pub const ALL: [Self; CONTENTS] = [
        Self::Iron,
        Self::Chlorate,
        Self::AmmoniumIron,
        Self::IronCitrate,
        Self::Palladium,
        Self::Platinum,
        Self::Silver,
        Self::Ferricyanide,
        Self::Agent,
        Self::Surfactant,
        Self::Stock,
    ];

    /// The word in the book.
    #[must_use]
    pub const fn word(self) -> &'static str {
        NAMES[self.index()].0
    }

    /// From the word in the book.
    #[must_use]
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.word() == word.trim())
    }

    /// As the page calls it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        NAMES[self.index()].1
    }

    /// The formula its strength counts, if its label says no other; empty where none is fixed.
    #[must_use]
    pub const fn salt(self) -> &'static str {
        match self {
            Self::AmmoniumIron => "(NH4)3Fe(C2O4)3·3H2O",
            Self::Palladium => "Na2PdCl4",
            Self::Platinum => "K2PtCl4",
            Self::Silver => "AgNO3",
            Self::Ferricyanide => "K3Fe(CN)6",
            Self::Agent => "Na2PtCl6·6H2O",
            _ => "",
        }
    }

    /// The same as a salt, where the metal in it can be counted.
    #[must_use]
    pub const fn usual_salt(self) -> Option<Salt> {
        match self {
            Self::AmmoniumIron => Some(Salt::AmmoniumFerricOxalate),
            Self::Palladium => Some(Salt::SodiumPalladate),
            Self::Platinum => Some(Salt::PotassiumPlatinate),
            Self::Agent => Some(Salt::SodiumHexachloroplatinateHexahydrate),
            _ => None,
        }
    }

    /// Its place in [`Content::ALL`].
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }

    /// It brings iron.
    #[must_use]
    pub const fn is_iron(self) -> bool {
        matches!(self, Self::Iron | Self::Chlorate | Self::AmmoniumIron | Self::IronCitrate)
    }

    /// It brings a noble metal that makes the picture.
    #[must_use]
    pub const fn is_metal(self) -> bool {
        matches!(self, Self::Palladium | Self::Platinum | Self::Silver)
    }

    /// It counts for the volume of the coating; the rest are trimmings.
    #[must_use]
    pub const fn is_main(self) -> bool {
        !matches!(self, Self::Agent | Self::Surfactant | Self::Stock)
    }
}

/// Volumes in the cup.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Mix {
    volumes: [Volume; CONTENTS],
}

impl Mix {
    /// Iron and metals that together make `coating`: `iron_per_metal` volumes of iron to one of all metal solutions,
    /// of which the part `platinum` (0..1) is platinum. The agent and the surfactant come on top, see [`Mix::with`].
    #[must_use]
    pub fn of(coating: Volume, iron_per_metal: f64, platinum: f64) -> Self {
        let metals = coating / (1.0 + iron_per_metal);
        let mut mix = Self::default();
        mix.volumes[Content::Iron.index()] = coating - metals;
        mix.volumes[Content::Palladium.index()] = metals * (1.0 - platinum);
        mix.volumes[Content::Platinum.index()] = metals * platinum;
        mix
    }

    /// Volumes by content; those of one content are added up.
    #[must_use]
    pub fn of_parts(parts: impl IntoIterator<Item = (Content, Volume)>) -> Self {
        let mut mix = Self::default();
        for (content, volume) in parts {
            mix.volumes[content.index()] = mix.volumes[content.index()] + volume;
        }
        mix
    }

    /// The same with another volume of one content.
    #[must_use]
    pub fn with(mut self, content: Content, volume: Volume) -> Self {
        self.volumes[content.index()] = volume;
        self
    }

    /// Volume of one content.
    #[must_use]
    pub fn volume(&self, content: Content) -> Volume {
        self.volumes[content.index()]
    }

    /// Everything in the cup.
    #[must_use]
    pub fn total(&self) -> Volume {
        self.volumes.iter().copied().sum()
    }

    /// What is in the cup, with its volume; what is not is left out.
    pub fn parts(&self) -> impl Iterator<Item = (Content, Volume)> {
        Content::ALL.into_iter().map(|c| (c, self.volume(c))).filter(|(_, v)| v.to_ml() > 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn contents_stand_in_their_order() {
        for (i, content) in Content::ALL.into_iter().enumerate() {
            assert_eq!((content.index(), Content::of(content.word())), (i, Some(content)));
            assert!(!(content.is_iron() && content.is_metal()));
            if let Some(salt) = content.usual_salt() {
                assert_eq!(Salt::read(content.salt()), Some(salt));
            }
        }
        assert_eq!(Content::of("gold"), None);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn volumes_sum_to_the_total(ml in 0.01..500.0f64, ratio in 0.1..10.0f64, share in 0.0..=1.0f64, extra in 0.0..5.0f64) {
            let mix = Mix::of(Volume::from_ml(ml), ratio, share);
            prop_assert!((mix.total().to_ml() / ml - 1.0).abs() < 1e-12);
            let metals = mix.volume(Content::Palladium) + mix.volume(Content::Platinum);
            prop_assert!((mix.volume(Content::Iron) / metals / ratio - 1.0).abs() < 1e-9);
            prop_assert!((mix.volume(Content::Platinum) / metals - share).abs() < 1e-12);
            let more = mix.with(Content::Agent, Volume::from_ml(extra));
            prop_assert!((more.total().to_ml() - ml - extra).abs() < 1e-9);
            let parts: Volume = more.parts().map(|(_, v)| v).sum();
            prop_assert!((parts / more.total() - 1.0).abs() < 1e-12);
        }

        #[test]
        fn volumes_scale(ml in 0.01..500.0f64, ratio in 0.1..10.0f64, share in 0.0..=1.0f64, k in 0.1..20.0f64) {
            let one = Mix::of(Volume::from_ml(ml), ratio, share);
            let many = Mix::of(Volume::from_ml(ml * k), ratio, share);
            for content in Content::ALL {
                let (a, b) = (one.volume(content).to_ml() * k, many.volume(content).to_ml());
                prop_assert!((a - b).abs() <= 1e-9 * ml * k);
            }
        }
    }
}
