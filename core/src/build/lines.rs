//! On which line of a document an entry stands.

use std::collections::BTreeMap;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The line of every entry, by its name: `block.bore[2]`.
#[derive(Debug, Clone, Default)]
pub(super) struct Lines(BTreeMap<String, usize>);

impl Lines {
    /// Reads the places of a text that is TOML; of another text there are none.
    pub(super) fn read(text: &str) -> Self {
        let mut lines = Self::default();
        if let Ok(table) = DeTable::parse(text) {
            lines.table(&starts(text), "", table.get_ref());
        }
        lines
    }

    /// The line of an entry, or of the nearest entry that holds it.
    pub(super) fn of(&self, field: &str) -> Option<usize> {
        let mut name = field;
        loop {
            if let Some(line) = self.0.get(name) {
                return Some(*line);
            }
            name = name.rfind(['.', '[']).and_then(|at| name.get(..at))?;
        }
    }

    fn table(&mut self, starts: &[usize], path: &str, table: &DeTable<'_>) {
        for (key, value) in table.iter() {
            let name = match path {
                "" => key.get_ref().to_string(),
                path => format!("{path}.{}", key.get_ref()),
            };
            self.0.insert(name.clone(), line_at(starts, key.span().start));
            self.value(starts, &name, value);
        }
    }

    fn value(&mut self, starts: &[usize], name: &str, value: &Spanned<DeValue<'_>>) {
        match value.get_ref() {
            DeValue::Table(table) => self.table(starts, name, table),
            DeValue::Array(items) => {
                for (i, item) in items.iter().enumerate() {
                    let name = format!("{name}[{}]", i + 1);
                    self.0.insert(name.clone(), line_at(starts, item.span().start));
                    self.value(starts, &name, item);
                }
            }
            _ => {}
        }
    }
}

/// Where each line starts, in bytes.
fn starts(text: &str) -> Vec<usize> {
    let after_breaks = text.match_indices('\n').map(|(at, _)| at + 1);
    std::iter::once(0).chain(after_breaks).collect()
}

fn line_at(starts: &[usize], offset: usize) -> usize {
    starts.partition_point(|start| *start <= offset)
}

/// The line, counted from 1, of a byte of the text.
pub(super) fn line_of(text: &str, offset: usize) -> usize {
    line_at(&starts(text), offset)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn entries_lists_and_tables_have_their_lines() {
        let lines = Lines::read("a = 1\n[b]\nc = [\n  \"x\",\n  \"y\",\n]\n[[b.d]]\ne = 2\n");
        assert_eq!(lines.of("a"), Some(1));
        assert_eq!(lines.of("b.c"), Some(3));
        assert_eq!(lines.of("b.c[2]"), Some(5));
        assert_eq!(lines.of("b.d[1].e"), Some(8));
        assert_eq!(lines.of("b.c[9]"), Some(3));
        assert_eq!(lines.of("z"), None);
    }
}
