use std::sync::Arc;

use axum::extract::Multipart;
use ledger::{AnswerKind, NewAnswer, StoredUpload, UploadFilter, UploadState};
use report::{QuoteReport, Report};

use crate::caller::{KeyHolder, StudioUser, Visitor};
use crate::clock::now;
use crate::receiving::Sender;
use crate::secrets::{id_in, link_token, same};
use crate::upload_form::{UploadForm, UploadPage};
use crate::{CustomerPrice, Problem, ProblemClass, Studio, WhatIf};

/// An upload, and what whoever asks may do with it.
#[derive(Clone, Debug)]
pub struct Access {
    pub(crate) upload: StoredUpload,
    pub(crate) rights: Rights,
}

/// What somebody may do with an upload.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rights {
    /// Look and ask, through a link.
    Link,
    /// Also share and delete.
    Shop,
    /// Also see what the studio pays and earns, and keep answers.
    Studio,
}

/// Which uploads are listed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct UploadQuery {
    /// Whose name contains this.
    pub search: Option<String>,
    /// In this state: `received`, `counted`, `refused` or `failed`.
    pub state: Option<String>,
    /// At most so many, 1 to 200.
    pub limit: Option<u32>,
    /// The `next` of the page before.
    pub after: Option<String>,
}

const MOST_LISTED: u32 = 200;
const USUALLY_LISTED: u32 = 50;

impl Access {
    /// What may be done.
    #[must_use]
    pub const fn rights(&self) -> Rights {
        self.rights
    }

    fn needs(&self, rights: Rights) -> Result<(), Problem> {
        if self.rights >= rights {
            return Ok(());
        }
        let detail = "a link shows an upload; changing it takes a key of the shop or the studio, \
                      keeping answers and seeing costs one of the studio";
        Err(Problem::new(ProblemClass::Forbidden, detail))
    }
}

impl Studio {
    /// The upload that a link opens.
    ///
    /// # Errors
    ///
    /// `Unknown` for a link that opens nothing, `TooMany` for many questions from one address.
    pub async fn by_token(
        self: &Arc<Self>,
        visitor: Visitor,
        token: &str,
    ) -> Result<Access, Problem> {
        self.public_questions.take(visitor.address)?;
        let token = token.to_owned();
        self.blocking(move |studio| {
            let unknown = || Problem::unknown("link");
            let id = id_in(&token).ok_or_else(unknown)?;
            let upload = studio.asking.lock().upload(id)?.ok_or_else(unknown)?;
            let right = link_token(&studio.link_secret, id, upload.links);
            if same(&token, &right) {
                Ok(Access { upload, rights: Rights::Link })
            } else {
                Err(unknown())
            }
        })
        .await
    }

    /// An upload for somebody with a key: the studio's for all, a shop's for its own.
    ///
    /// # Errors
    ///
    /// `Unknown` for an upload that is not there, or another shop's.
    pub async fn by_key(self: &Arc<Self>, holder: &KeyHolder, id: &str) -> Result<Access, Problem> {
        let (id, number, is_studio) = (id.to_owned(), holder.key.number, holder.is_studio());
        self.blocking(move |studio| {
            let found = studio.asking.lock().upload(&id)?;
            let found = found.filter(|upload| is_studio || upload.upload.owner == number);
            let upload = found.ok_or_else(|| Problem::unknown("upload"))?;
            let rights = if is_studio { Rights::Studio } else { Rights::Shop };
            Ok(Access { upload, rights })
        })
        .await
    }

    /// An upload for the studio.
    ///
    /// # Errors
    ///
    /// `Unknown` for an upload that is not there.
    pub async fn for_studio(
        self: &Arc<Self>,
        user: &StudioUser,
        id: &str,
    ) -> Result<Access, Problem> {
        self.by_key(&user.holder, id).await
    }

    /// Takes in a form of the public page, with the picture in the field `file`; the answer carries
    /// the token of its link.
    ///
    /// # Errors
    ///
    /// `Forbidden` while the public page is off, `TooMany`, and whatever is wrong with the form.
    pub async fn receive_form(
        self: &Arc<Self>,
        visitor: Visitor,
        form: Multipart,
    ) -> Result<UploadForm, Problem> {
        self.admit(visitor)?;
        let upload = self.receive_multipart(Sender::default(), form).await?;
        Ok(self.with_token(&upload))
    }

    /// Takes in a form of the studio's own page.
    ///
    /// # Errors
    ///
    /// Whatever is wrong with the form.
    pub async fn receive_form_of(
        self: &Arc<Self>,
        user: &StudioUser,
        form: Multipart,
    ) -> Result<UploadForm, Problem> {
        let sender = Sender { owner: user.holder.key.number, idempotency_key: None };
        let upload = self.receive_multipart(sender, form).await?;
        Ok(self.form(&upload))
    }

    /// Lets an upload without a key in, or not.
    pub(crate) fn admit(&self, visitor: Visitor) -> Result<(), Problem> {
        if !self.settings.public_page {
            let detail = "this service takes uploads with a key alone; ask the studio for one";
            return Err(Problem::new(ProblemClass::Forbidden, detail));
        }
        self.public_uploads.take(visitor.address)
    }

    /// The form of an upload with the token of its link.
    pub(crate) fn with_token(&self, upload: &StoredUpload) -> UploadForm {
        let token = link_token(&self.link_secret, &upload.upload.id, upload.links);
        UploadForm { token: Some(token), ..self.form(upload) }
    }

    pub(crate) fn form(&self, upload: &StoredUpload) -> UploadForm {
        let counting = self.queue.is_counting(upload.number);
        UploadForm::of(upload, counting, self.settings.keep_pictures)
    }

    /// An upload with what was found about its picture.
    ///
    /// # Errors
    ///
    /// What the ledger refuses.
    pub async fn upload(self: &Arc<Self>, access: &Access) -> Result<UploadForm, Problem> {
        let upload = access.upload.clone();
        self.blocking(move |studio| {
            let mut form = studio.form(&upload);
            if upload.state == UploadState::Counted {
                form.picture = Some(studio.facts(&upload)?.as_ref().clone());
            }
            Ok(form)
        })
        .await
    }

    /// All uploads, newest first.
    ///
    /// # Errors
    ///
    /// `Usage` for a query that makes no sense.
    pub async fn uploads(
        self: &Arc<Self>,
        user: &StudioUser,
        query: UploadQuery,
    ) -> Result<UploadPage, Problem> {
        self.uploads_of(&user.holder, query).await
    }

    /// The uploads that a key may see, newest first.
    pub(crate) async fn uploads_of(
        self: &Arc<Self>,
        holder: &KeyHolder,
        query: UploadQuery,
    ) -> Result<UploadPage, Problem> {
        let owner = (!holder.is_studio()).then_some(holder.key.number);
        let filter = UploadFilter { owner, ..query.filter()? };
        self.blocking(move |studio| {
            // One more tells whether there is a next page.
            let wanted = filter.most as usize;
            let asked = UploadFilter { most: filter.most + 1, ..filter };
            let found = studio.asking.lock().uploads(&asked)?;
            let last = found.get(wanted - 1).filter(|_| found.len() > wanted);
            let next = last.map(|upload| upload.number.to_string());
            let uploads = found.iter().take(wanted).map(|upload| studio.form(upload)).collect();
            Ok(UploadPage { uploads, next })
        })
        .await
    }

    /// The ink on one set.
    ///
    /// # Errors
    ///
    /// `NotCountedYet`, and whatever is wrong with the question.
    pub async fn estimate(
        self: &Arc<Self>,
        access: &Access,
        what_if: &WhatIf,
    ) -> Result<Report, Problem> {
        let (upload, what_if) = (access.upload.clone(), what_if.clone());
        self.computing(move |studio| studio.estimate_of(&upload, &what_if)).await
    }

    /// The ink on several sets, with verdicts on their colours.
    ///
    /// # Errors
    ///
    /// As [`estimate`](Self::estimate).
    pub async fn comparison(
        self: &Arc<Self>,
        access: &Access,
        what_if: &WhatIf,
    ) -> Result<Report, Problem> {
        let (upload, what_if) = (access.upload.clone(), what_if.clone());
        self.computing(move |studio| studio.comparison_of(&upload, &what_if)).await
    }

    /// The price as a customer sees it.
    ///
    /// # Errors
    ///
    /// As [`estimate`](Self::estimate), and `NoPrice` for what can't be priced.
    pub async fn price(
        self: &Arc<Self>,
        access: &Access,
        what_if: &WhatIf,
    ) -> Result<CustomerPrice, Problem> {
        let report = self.priced(access, what_if).await?;
        Ok(CustomerPrice::of(report.document()))
    }

    /// The price with what the studio pays and earns.
    ///
    /// # Errors
    ///
    /// As [`price`](Self::price), and `Forbidden` without the rights of the studio.
    pub async fn quote(
        self: &Arc<Self>,
        access: &Access,
        what_if: &WhatIf,
    ) -> Result<QuoteReport, Problem> {
        access.needs(Rights::Studio)?;
        self.priced(access, what_if).await
    }

    /// The whole quote, for those who decide themselves what is shown of it.
    pub(crate) async fn priced(
        self: &Arc<Self>,
        access: &Access,
        what_if: &WhatIf,
    ) -> Result<QuoteReport, Problem> {
        let (upload, what_if) = (access.upload.clone(), what_if.clone());
        self.computing(move |studio| studio.quote_of(&upload, &what_if)).await
    }

    /// The token of the link that opens an upload without a key.
    ///
    /// # Errors
    ///
    /// `Forbidden` for whoever has only a link.
    pub fn share(&self, access: &Access) -> Result<String, Problem> {
        access.needs(Rights::Shop)?;
        let upload = &access.upload;
        Ok(link_token(&self.link_secret, &upload.upload.id, upload.links))
    }

    /// Makes all links to an upload void.
    ///
    /// # Errors
    ///
    /// `Forbidden` for whoever has only a link.
    pub async fn unshare(self: &Arc<Self>, access: &Access) -> Result<(), Problem> {
        access.needs(Rights::Shop)?;
        let number = access.upload.number;
        self.writing_with(move |_, ledger| Ok(ledger.void_links(number).map(drop)?)).await
    }

    /// Deletes an upload with everything that is kept about it.
    ///
    /// # Errors
    ///
    /// `Forbidden` for whoever has only a link.
    pub async fn delete(self: &Arc<Self>, access: &Access) -> Result<(), Problem> {
        access.needs(Rights::Shop)?;
        self.delete_upload(&access.upload).await
    }

    /// Keeps an answer where the question wants it kept, and gives its number.
    pub(crate) async fn keep_if_wanted(
        self: &Arc<Self>,
        access: &Access,
        kind: AnswerKind,
        what_if: &WhatIf,
        document: &str,
    ) -> Result<Option<i64>, Problem> {
        if !what_if.keep {
            return Ok(None);
        }
        access.needs(Rights::Studio)?;
        let asked = serde_json::to_string(what_if).map_err(Problem::internal)?;
        let document = document.to_owned();
        let answer = NewAnswer { kind, made_at: now(), asked, document };
        let number = access.upload.number;
        self.writing_with(move |_, ledger| Ok(ledger.keep_answer(number, &answer)?)).await.map(Some)
    }

    /// Computes, off the event loop; what is known already takes a moment, the rest waits its turn.
    pub(crate) async fn computing<T: Send + 'static>(
        self: &Arc<Self>,
        work: impl FnOnce(&Self) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        let begun = std::time::Instant::now();
        let answered = self.blocking(work).await;
        self.metrics.answer_time(begun.elapsed());
        answered
    }
}

impl UploadQuery {
    fn filter(self) -> Result<UploadFilter, Problem> {
        let usage = |detail: String| Problem::new(ProblemClass::Usage, detail);
        let most = self.limit.unwrap_or(USUALLY_LISTED);
        if !(1..=MOST_LISTED).contains(&most) {
            return Err(usage(format!("limit is {most}, outside 1 to {MOST_LISTED}")));
        }
        let before = self.after.map(|after| {
            after.parse().map_err(|_| usage("after is no `next` of another page".to_owned()))
        });
        let state = self.state.filter(|word| !word.is_empty()).map(|word| {
            let known = UploadState::WORDS.iter().find(|(known, _)| *known == word);
            known.map(|(_, state)| *state).ok_or_else(|| {
                let words: Vec<&str> = UploadState::WORDS.iter().map(|(known, _)| *known).collect();
                usage(format!("state is none of {}", words.join(", ")))
            })
        });
        Ok(UploadFilter {
            owner: None,
            search: self.search.filter(|words| !words.is_empty()),
            state: state.transpose()?,
            before: before.transpose()?,
            most,
        })
    }
}
