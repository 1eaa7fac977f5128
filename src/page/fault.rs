//! Faults as responses, and in words for the phone; what names places on the server goes to its terminal.

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

use crate::archive::ArchiveError;
pub(super) use crate::under_way::Fault;

impl Fault {
    pub(super) fn status(&self) -> StatusCode {
        match self {
            Self::NotPaired | Self::WrongCode => StatusCode::UNAUTHORIZED,
            Self::WrongHost => StatusCode::MISDIRECTED_REQUEST,
            Self::OtherSite => StatusCode::FORBIDDEN,
            Self::NotHere | Self::NoSuchCheck | Self::NoSuchPhoto => StatusCode::NOT_FOUND,
            Self::NotThatWay => StatusCode::METHOD_NOT_ALLOWED,
            Self::TooOften => StatusCode::TOO_MANY_REQUESTS,
            Self::Busy => StatusCode::SERVICE_UNAVAILABLE,
            Self::TooLarge(_) => StatusCode::PAYLOAD_TOO_LARGE,
            Self::TooSlow => StatusCode::REQUEST_TIMEOUT,
            Self::BrokenOff => StatusCode::BAD_REQUEST,
            Self::NoPhoto | Self::Unfit(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Self::Conflict(_) => StatusCode::CONFLICT,
            Self::DiskFull => StatusCode::INSUFFICIENT_STORAGE,
            Self::Archive | Self::Defect => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    fn retry_after_s(&self) -> Option<u32> {
        matches!(self, Self::Busy | Self::TooOften).then_some(5)
    }

    /// For a response of the router or an extractor, which knows only its status.
    pub(super) fn of_status(status: StatusCode) -> Self {
        match status {
            StatusCode::NOT_FOUND => Self::NotHere,
            StatusCode::METHOD_NOT_ALLOWED => Self::NotThatWay,
            StatusCode::PAYLOAD_TOO_LARGE => {
                Self::Unfit("more was sent than fits there; send less".into())
            }
            s if s.is_client_error() => {
                Self::Unfit("the request was not understood; go back and do it again".into())
            }
            _ => Self::Defect,
        }
    }
}

/// The fault travels with the response; its text is written where it is known whether a page or a program
/// asked.
impl IntoResponse for Fault {
    fn into_response(self) -> Response {
        let mut response = self.status().into_response();
        if let Some(seconds) = self.retry_after_s() {
            let value = HeaderValue::from(seconds);
            response.headers_mut().insert(header::RETRY_AFTER, value);
        }
        response.extensions_mut().insert(self);
        response
    }
}

/// In words for the phone; what names places on the server goes to its terminal.
impl From<anyhow::Error> for Fault {
    fn from(error: anyhow::Error) -> Self {
        let error = match error.downcast::<Self>() {
            Ok(fault) => return fault,
            Err(error) => error,
        };
        match error.downcast::<ArchiveError>() {
            Ok(error) => error.into(),
            Err(error) => Self::Conflict(format!("{error:#}")),
        }
    }
}

impl From<ArchiveError> for Fault {
    fn from(error: ArchiveError) -> Self {
        match error {
            ArchiveError::UnknownJawSet { .. } | ArchiveError::Unknown { .. } => Self::NotHere,
            ArchiveError::Busy(_) => Self::Busy,
            ArchiveError::Full(_) => Self::DiskFull,
            // Nothing in these names a place on the server.
            ArchiveError::NoLead(_)
            | ArchiveError::ProveOutGoesOn { .. }
            | ArchiveError::NoProveOut => Self::Conflict(error.to_string()),
            error => {
                tell_terminal(&error.to_string());
                Self::Archive
            }
        }
    }
}

impl From<std::io::Error> for Fault {
    fn from(error: std::io::Error) -> Self {
        use std::io::ErrorKind::{QuotaExceeded, StorageFull};
        if matches!(error.kind(), StorageFull | QuotaExceeded) {
            return Self::DiskFull;
        }
        tell_terminal(&format!("a file of a check under way: {error}"));
        Self::Archive
    }
}

impl From<tokio::task::JoinError> for Fault {
    fn from(error: tokio::task::JoinError) -> Self {
        tell_terminal(&format!("a defect: {error}"));
        Self::Defect
    }
}

/// To the error stream of the server.
pub(super) fn tell_terminal(line: &str) {
    use std::io::Write;
    let mut stderr = anstream::stderr().lock();
    // Nothing is left to be told when even the error stream is gone.
    let _ = writeln!(stderr, "seepline: {}", crate::report::printable(line));
}
