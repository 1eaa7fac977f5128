//! A small disk of one's own that can fill up, grow, and refuse to be written to.

use std::path::Path;
use std::process::Command;

use tempfile::TempDir;

/// A real file system of some size, taken away when dropped.
pub(crate) struct SmallDisk(TempDir);

impl SmallDisk {
    /// `None`, and said, where none can be mounted; `size` as mount takes it, such as `300k`.
    pub(crate) fn new(size: &str) -> Option<Self> {
        let folder = TempDir::new().unwrap();
        let options = format!("size={size}");
        if mount(&["-t", "tmpfs", "-o", &options, "tmpfs"], folder.path()) {
            return Some(Self(folder));
        }
        eprintln!("SKIPPED: no small disk can be mounted here (needs root)");
        None
    }

    pub(crate) fn path(&self) -> &Path {
        self.0.path()
    }

    /// Mounts it anew with other options, such as `size=2m`, `ro` or `rw`; what is on it stays.
    pub(crate) fn remount(&self, options: &str) {
        let options = format!("remount,{options}");
        assert!(mount(&["-o", &options], self.path()), "{options}");
    }
}

fn mount(arguments: &[&str], place: &Path) -> bool {
    let mounted = Command::new("mount").args(arguments).arg(place).output();
    mounted.is_ok_and(|o| o.status.success())
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.path()).output();
    }
}
