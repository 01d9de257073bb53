use std::sync::Arc;

use axum::extract::Multipart;
use ledger::{NewUpload, Received, StoredUpload, UploadState};

use crate::clock::now;
use crate::display_name::display_name;
use crate::incoming::{Arrived, Patience, Pieces, of_multipart};
use crate::secrets::new_id;
use crate::upload_folder::UnfinishedFile;
use crate::{Problem, ProblemClass, Studio, WhatIf};

/// Who sends an upload, and by which name it is known again.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sender {
    /// Number of the key; 0 for the public page.
    pub(crate) owner: i64,
    pub(crate) idempotency_key: Option<String>,
}

/// A file that has come in and is not kept yet.
pub(crate) struct Delivery {
    id: String,
    file: UnfinishedFile,
    arrived: Arrived,
}

/// Most fields of a form beside the file, and most bytes of each: more than a question has.
const MOST_FIELDS: usize = 32;
const MOST_FIELD_BYTES: usize = 1000;

impl Studio {
    fn patience(&self) -> Patience {
        Patience {
            silence: self.configuration.client_patience,
            least_pace: self.configuration.least_bytes_per_second,
            most_bytes: self.configuration.most_upload_bytes,
        }
    }

    /// Takes a file in, piece by piece.
    pub(crate) async fn take_in(&self, mut pieces: Pieces<'_>) -> Result<Delivery, Problem> {
        let id = new_id()?;
        let file = self.folder.unfinished(&id);
        let arrived = pieces.write_to(&file, &self.patience()).await?;
        if arrived.bytes == 0 {
            return Err(Problem::new(
                ProblemClass::Picture,
                "the file is empty; export the picture again",
            ));
        }
        Ok(Delivery { id, file, arrived })
    }

    /// Keeps what was taken in: when this returns, the upload outlives a crash.
    pub(crate) async fn accept(
        self: &Arc<Self>,
        delivery: Delivery,
        sender: Sender,
        name: &str,
        wish: &WhatIf,
    ) -> Result<StoredUpload, Problem> {
        self.check_wish(wish)?;
        let upload = NewUpload {
            id: delivery.id.clone(),
            owner: sender.owner,
            name: display_name(name),
            bytes: delivery.arrived.bytes,
            received_at: now(),
            content_hash: delivery.arrived.hash,
            wish: serde_json::to_string(wish).map_err(Problem::internal)?,
            idempotency_key: sender.idempotency_key,
        };
        self.writing_with(move |studio, ledger| {
            let id = delivery.id.clone();
            let kept = studio.folder.accept(delivery.file, &id);
            kept.map_err(|cause| Problem::of_file(&cause))?;
            let received = ledger.receive_upload(&upload);
            if !matches!(received, Ok(Received::New(_))) {
                // What is not kept has no file either.
                let _ = studio.folder.delete(&id);
            }
            match received? {
                Received::New(number) => {
                    let stored = waiting(number, upload);
                    studio.metrics.count_received();
                    studio.queue.add(stored.clone());
                    Ok(stored)
                }
                Received::Before(before) => known_again(*before, &upload),
            }
        })
        .await
    }

    /// Refuses a wish that no answer can have, before anything is kept.
    pub(crate) fn check_wish(&self, wish: &WhatIf) -> Result<(), Problem> {
        wish.job()?;
        wish.policy()?;
        wish.roll_width()?;
        for name in wish.sets(&self.settings.ink_sets)? {
            self.catalogue.check(name, wish)?;
        }
        self.catalogue.price_list(wish.price_list.as_deref()).map(drop)
    }

    /// Takes in a form with one file, in the order in which browsers send it.
    pub(crate) async fn receive_multipart(
        self: &Arc<Self>,
        sender: Sender,
        mut form: Multipart,
    ) -> Result<StoredUpload, Problem> {
        let (mut wish, mut taken, mut fields) = (WhatIf::default(), None, 0);
        while let Some(field) = form.next_field().await.map_err(|fault| of_multipart(&fault))? {
            fields += 1;
            if fields > MOST_FIELDS {
                let detail = format!("the form has more than {MOST_FIELDS} fields; send fewer");
                return Err(Problem::new(ProblemClass::TooLarge, detail));
            }
            let name = field.name().unwrap_or_default().to_owned();
            if name == "file" {
                let stated = field.file_name().unwrap_or_default().to_owned();
                if taken.is_some() {
                    let detail = "the form has two files; send each by itself";
                    return Err(Problem::new(ProblemClass::Usage, detail));
                }
                taken = Some((self.take_in(Pieces::from(field)).await?, stated));
            } else {
                let mut pieces = Pieces::from(field);
                let value = pieces.text(&self.patience(), MOST_FIELD_BYTES).await?;
                if !wish.take(&name, &value)? {
                    return Err(unknown_field(&name));
                }
            }
        }
        let (delivery, stated) = taken.ok_or_else(|| {
            Problem::new(ProblemClass::Usage, "the form has no field `file`; choose a picture")
        })?;
        self.accept(delivery, sender, &stated, &wish).await
    }
}

pub(crate) fn unknown_field(name: &str) -> Problem {
    let name: String = name.chars().take(60).collect();
    Problem::new(ProblemClass::Usage, format!("`{name}` is not a name that is known here"))
}

fn waiting(number: i64, upload: NewUpload) -> StoredUpload {
    StoredUpload {
        number,
        upload,
        state: UploadState::Received,
        problem: None,
        facts: None,
        links: 0,
    }
}

/// The same key with another picture is a mistake of the sender.
fn known_again(before: StoredUpload, upload: &NewUpload) -> Result<StoredUpload, Problem> {
    if before.upload.content_hash == upload.content_hash {
        return Ok(before);
    }
    Err(Problem::new(
        ProblemClass::Conflict,
        "this Idempotency-Key came with another file before; use a new key for a new upload",
    ))
}
