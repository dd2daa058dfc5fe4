//! The search index over the sections: fields, analysis of words, building and opening.
//!
//! Sections are numbered in order; document `n` of the one segment is section `n`, so the index stores no text.

use super::Note;
use super::lookup::Lookup;
use super::pack::Packed;
use crate::problem::{Code, Problem};
use tantivy::directory::RamDirectory;
use tantivy::index::SegmentReader;
use tantivy::schema::{Field, IndexRecordOption, Schema, TextFieldIndexing, TextOptions};
use tantivy::tokenizer::{
    Language, LowerCaser, SimpleTokenizer, Stemmer, StopWordFilter, TextAnalyzer, TokenStream as _,
    TokenizerManager,
};
use tantivy::{Directory as _, Index, ReloadPolicy, Searcher, TantivyDocument, Term};

/// The analysis of English words: lower case, no stop words, stems.
const ANALYSIS: &str = "notes";
/// How often a word of a heading, and of a title, counts against one in the text.
const HEADING: usize = 3;
const TITLE: usize = 2;
/// Memory that building may take, in bytes; the library asks for 15 MB at least.
const BUDGET: usize = 15_000_000;
/// Words of a text that are compared.
const LONGEST: usize = 48;

/// The fields of a section in the index.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fields {
    /// The note's title.
    pub(super) title: Field,
    /// The section's heading.
    pub(super) heading: Field,
    /// Other words by which people ask for it.
    pub(super) asked: Field,
    /// Heading, title and text: what it says.
    pub(super) all: Field,
}

/// The words of all sections.
pub(super) struct Words {
    searcher: Searcher,
    pub(super) fields: Fields,
    analyzer: TextAnalyzer,
}

impl std::fmt::Debug for Words {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Words({} sections)", self.searcher.num_docs())
    }
}

impl Words {
    /// Indexes the sections in memory.
    pub(super) fn build(notes: &[Note], lookup: &Lookup) -> Result<Self, Problem> {
        let index = build(notes, lookup, RamDirectory::create()).map_err(failed)?;
        Self::over(&index, lookup).map_err(failed)
    }

    /// Opens a packed index.
    pub(super) fn open(packed: Packed, lookup: &Lookup) -> Result<Self, Problem> {
        let mut index = Index::open(packed).map_err(failed)?;
        index.set_tokenizers(tokenizers(lookup));
        Self::over(&index, lookup).map_err(failed)
    }

    fn over(index: &Index, lookup: &Lookup) -> tantivy::Result<Self> {
        let reader = index.reader_builder().reload_policy(ReloadPolicy::Manual).try_into()?;
        let (_, fields) = schema();
        Ok(Self { searcher: reader.searcher(), fields, analyzer: analyzer(lookup) })
    }

    /// The searcher.
    pub(super) const fn searcher(&self) -> &Searcher {
        &self.searcher
    }

    /// The stems of a text with their positions, stop words left out.
    pub(super) fn analyze(&self, text: &str) -> Vec<(usize, String)> {
        let mut analyzer = self.analyzer.clone();
        let mut stream = analyzer.token_stream(text);
        let mut stems = Vec::new();
        while let Some(token) = stream.next() {
            stems.push((token.position, token.text.clone()));
        }
        stems
    }

    /// How many sections there are.
    pub(super) fn sections(&self) -> usize {
        self.segment().map_or(0, |segment| usize::try_from(segment.num_docs()).unwrap_or(0))
    }

    /// How many sections hold a stem.
    pub(super) fn met(&self, stem: &str) -> usize {
        let term = Term::from_field_text(self.fields.all, stem);
        let met = self.searcher.doc_freq(&term).unwrap_or(0);
        usize::try_from(met).unwrap_or(usize::MAX)
    }

    /// The one segment; none if there is no section.
    pub(super) fn segment(&self) -> Option<&SegmentReader> {
        self.searcher.segment_readers().first()
    }
}

/// The words of a text in lower case; the rest of a long text is left.
pub(super) fn plain(text: &str) -> Vec<String> {
    text.split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .take(LONGEST)
        .map(str::to_lowercase)
        .collect()
}

/// Inverse document frequency of a word met by `met` of `all` sections.
pub(super) fn rarity(met: usize, all: usize) -> f64 {
    let (met, all) = (number(met), number(all));
    (1.0 + (all - met + 0.5) / (met + 0.5)).ln()
}

/// A count as a number.
pub(super) fn number(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::MAX, f64::from)
}

/// The files of the index, by name. Names and bytes are the same for the same notes.
pub(super) fn files(notes: &[Note], lookup: &Lookup) -> Result<Vec<(String, Vec<u8>)>, Problem> {
    let directory = RamDirectory::create();
    let index = build(notes, lookup, directory.clone()).map_err(failed)?;
    let mut files = Vec::new();
    let ids = index.searchable_segment_ids().map_err(failed)?;
    for path in index.directory().list_managed_files() {
        let Some(name) = path.to_str() else { continue };
        let bytes = match directory.open_read(&path) {
            Ok(file) => file.read_bytes().map_err(failed)?.as_slice().to_vec(),
            Err(_) => directory.atomic_read(&path).map_err(failed)?,
        };
        files.push((name.to_owned(), bytes));
    }
    // A segment is named by chance; numbering the names makes equal notes pack into equal bytes.
    for (number, id) in ids.iter().enumerate() {
        let (plain, dashed) = (id.uuid_string(), dashes(&id.uuid_string()));
        let fixed = format!("{number:032x}");
        for (name, bytes) in &mut files {
            *name = name.replace(&plain, &fixed);
            if let Ok(text) = std::str::from_utf8(bytes) {
                *bytes = text.replace(&plain, &fixed).replace(&dashed, &dashes(&fixed)).into();
            }
        }
    }
    files.retain(|(name, _)| !name.starts_with('.'));
    files.sort();
    Ok(files)
}

/// An identifier of 32 digits in groups of 8, 4, 4, 4 and 12.
fn dashes(id: &str) -> String {
    let cut = [(0, 8), (8, 12), (12, 16), (16, 20), (20, 32)];
    let groups: Vec<&str> = cut.iter().filter_map(|(from, to)| id.get(*from..*to)).collect();
    groups.join("-")
}

fn build(notes: &[Note], lookup: &Lookup, directory: RamDirectory) -> tantivy::Result<Index> {
    let (schema, fields) = schema();
    let mut writer = Index::builder()
        .schema(schema)
        .tokenizers(tokenizers(lookup))
        .single_segment_index_writer(directory, BUDGET)?;
    for note in notes {
        for section in &note.sections {
            let mut document = TantivyDocument::new();
            document.add_text(fields.title, &note.title);
            document.add_text(fields.heading, &section.title);
            document.add_text(fields.asked, section.asked.join("\n"));
            // One field of everything gives one frequency and one length a section; what stands in a heading
            // counts as often as it is repeated here.
            let weighed = std::iter::repeat_n(&section.title, HEADING)
                .chain(std::iter::repeat_n(&note.title, TITLE))
                .chain(&section.asked)
                .chain([&section.text]);
            for text in weighed {
                document.add_text(fields.all, text);
            }
            writer.add_document(document)?;
        }
    }
    writer.finalize()
}

fn schema() -> (Schema, Fields) {
    let mut schema = Schema::builder();
    let indexing = TextFieldIndexing::default()
        .set_tokenizer(ANALYSIS)
        .set_index_option(IndexRecordOption::WithFreqsAndPositions);
    let text = TextOptions::default().set_indexing_options(indexing);
    let fields = Fields {
        title: schema.add_text_field("title", text.clone()),
        heading: schema.add_text_field("heading", text.clone()),
        asked: schema.add_text_field("asked", text.clone()),
        all: schema.add_text_field("all", text),
    };
    (schema.build(), fields)
}

fn analyzer(lookup: &Lookup) -> TextAnalyzer {
    TextAnalyzer::builder(SimpleTokenizer::default())
        .filter(LowerCaser)
        .filter(StopWordFilter::remove(lookup.stop.clone()))
        .filter(Stemmer::new(Language::English))
        .build()
}

fn tokenizers(lookup: &Lookup) -> TokenizerManager {
    // The default manager holds the analysis that the library itself asks for, also for fields that are only stored.
    let tokenizers = TokenizerManager::default();
    tokenizers.register(ANALYSIS, analyzer(lookup));
    tokenizers
}

/// A failure of the search library, in words.
pub(super) fn failed(why: impl std::fmt::Display) -> Problem {
    Problem::error(Code::File, None, format!("cannot index the notes: {why}"))
}
