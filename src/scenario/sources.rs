//! Looking up and recording places: every [`At`] is an index into [`Sources::places`].

use super::spec::{At, Place, Sources};

/// What a place that is not in the table looks like: the campaign file as a whole.
static NOWHERE: Place =
    Place { file: 0, line: 0, column: 0, path: String::new(), value: String::new() };

impl Sources {
    /// The place `at` points to; the campaign file as a whole if there is none.
    pub fn place(&self, at: At) -> &Place {
        self.places.get(at.0 as usize).unwrap_or(&NOWHERE)
    }

    /// Name of the file in which `at` stands.
    pub fn file(&self, at: At) -> &str {
        self.files.get(usize::from(self.place(at).file)).map_or("", String::as_str)
    }

    /// Records a place and returns its number. A value that came from a flag rather than a file
    /// has line 0 and the flag as its file name.
    ///
    /// # Panics
    /// With more than 2^32 places, which no readable file can hold.
    pub fn add(&mut self, place: Place) -> At {
        let next = u32::try_from(self.places.len()).expect("fewer than 2^32 places");
        self.places.push(place);
        At(next)
    }

    /// Records a file and returns its number, or `None` when there are too many.
    pub fn add_file(&mut self, name: &str) -> Option<u16> {
        let next = u16::try_from(self.files.len()).ok()?;
        self.files.push(name.to_string());
        Some(next)
    }

    /// The name of the number that is written at a place, which gives it its luck: `file:key.path`, the
    /// file without folder and ending, the path without the architecture that changes it.
    pub fn parameter(&self, at: At) -> String {
        let base = self.file(at).rsplit('/').next().unwrap_or_default();
        let stem = base.strip_suffix(".toml").unwrap_or(base);
        format!("{stem}:{}", without_architecture(&self.place(at).path))
    }
}

/// `architecture.X.element.Y.z` is the same thing as `element.Y.z` in another architecture; what is
/// changed on ports, failure modes and activities likewise.
fn without_architecture(path: &str) -> &str {
    let Some(rest) = path.strip_prefix("architecture.") else {
        return path;
    };
    let changed = [".element.", ".port.", ".failure.", ".activity."]
        .iter()
        .filter_map(|s| rest.find(s))
        .min();
    changed.map_or(path, |i| &rest[i + 1..])
}
