// The browser's storage, as promises.

export const answer = (request) => new Promise((done, failed) => {
  request.onsuccess = () => done(request.result);
  request.onerror = () => failed(request.error);
});

// Nobody ends one by itself but where another window was quicker.
export const end = (change, elsewhere) => new Promise((done, failed) => {
  change.oncomplete = done;
  change.onabort = () => failed(change.error ?? new Error(elsewhere));
});

// A database of one version, opened when it is first asked for: `names` of its stores → a transaction, and the stores.
export function database(name, make) {
  let open = null;
  const opened = () => {
    const opening = indexedDB.open(name, 1);
    opening.onupgradeneeded = () => make(opening.result);
    return answer(opening);
  };
  return async (names, mode) => {
    open ??= opened();
    try {
      // Kept is only said of what has reached the disk.
      const change = (await open).transaction(names, mode, { durability: "strict" });
      return { change, ...Object.fromEntries(names.map((store) => [store, change.objectStore(store)])) };
    } catch (error) {
      // A browser that could not write closes it; the next time it is opened again.
      open = null;
      throw error;
    }
  };
}
