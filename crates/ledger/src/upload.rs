/// What a service knows of a picture before it is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewUpload {
    /// Unguessable name in addresses.
    pub id: String,
    /// Number of the key that brought it; 0 for the public page.
    pub owner: i64,
    /// The file's name, for people.
    pub name: String,
    /// Size of the file.
    pub bytes: u64,
    /// Seconds since 1970.
    pub received_at: u64,
    /// BLAKE3 hash of the file.
    pub content_hash: [u8; 32],
    /// What was asked with it, in the service's form.
    pub wish: String,
    /// By which the sender knows the upload again.
    pub idempotency_key: Option<String>,
}

/// An upload as it is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredUpload {
    /// Rises with every upload.
    pub number: i64,
    /// What came in.
    pub upload: NewUpload,
    /// How far it is.
    pub state: UploadState,
    /// What befell it, in the service's form.
    pub problem: Option<String>,
    /// What its census does not tell.
    pub facts: Option<String>,
    /// How often its links were made void.
    pub links: i64,
}

/// How far an upload is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UploadState {
    /// Its file is kept and waits to be counted.
    Received,
    /// Its colours are counted.
    Counted,
    /// Its file is no picture that can be counted.
    Refused,
    /// It could not be counted, through no fault that was found in the file.
    Failed,
}

impl UploadState {
    /// All of them with their words.
    pub const WORDS: [(&'static str, Self); 4] = [
        ("received", Self::Received),
        ("counted", Self::Counted),
        ("refused", Self::Refused),
        ("failed", Self::Failed),
    ];

    /// The word in the ledger.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, state)| *state == self).map_or("", |(word, _)| word)
    }
}

/// Which uploads are listed, newest first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct UploadFilter {
    /// Of one key alone.
    pub owner: Option<i64>,
    /// Whose name contains this, whatever the case of ASCII letters.
    pub search: Option<String>,
    /// In one state.
    pub state: Option<UploadState>,
    /// Older than the upload of this number.
    pub before: Option<i64>,
    /// At most so many.
    pub most: u32,
}

/// What the counting of an upload gave.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountedUpload {
    /// The census in its own stored form.
    pub census: Vec<u8>,
    /// What it does not tell, as JSON.
    pub facts: String,
    /// The first answer, where one could be given.
    pub answer: Option<NewAnswer>,
}

/// An answer to be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewAnswer {
    /// Which question it answers.
    pub kind: AnswerKind,
    /// Seconds since 1970.
    pub made_at: u64,
    /// What was asked, in the service's form.
    pub asked: String,
    /// The document that was given.
    pub document: String,
}

/// Which question an answer answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AnswerKind {
    /// Ink on one set.
    Estimate,
    /// Ink on several sets, and which of them the picture needs.
    Comparison,
    /// A price.
    Quote,
}

impl AnswerKind {
    /// All of them with their words.
    pub const WORDS: [(&'static str, Self); 3] =
        [("estimate", Self::Estimate), ("comparison", Self::Comparison), ("quote", Self::Quote)];

    /// The word in the ledger.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, kind)| *kind == self).map_or("", |(word, _)| word)
    }
}

/// A kept answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredAnswer {
    /// Rises with every answer.
    pub number: i64,
    /// Number of its upload.
    pub upload: i64,
    /// The answer.
    pub answer: NewAnswer,
}
