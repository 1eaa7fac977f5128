// Makes the pages quicker to use; they work without it.
"use strict";

document.addEventListener("change", (event) => {
  const input = event.target;
  if (input.type === "file" && input.files.length > 0) input.form.requestSubmit();
});
