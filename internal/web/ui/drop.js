// @ts-check
// Files dropped anywhere on the page go into its form.

/** @param {HTMLElement} main */
export function drop(main) {
  const form = /** @type {HTMLFormElement | null} */ (main.querySelector("[data-dropform]"));
  const field = /** @type {HTMLInputElement | null} */ (form?.querySelector('input[type="file"]'));
  if (!form || !field) return;
  document.addEventListener("dragover", (e) => {
    if (![...(e.dataTransfer?.types ?? [])].includes("Files")) return;
    e.preventDefault();
    main.classList.add("dropping");
  });
  document.addEventListener("dragleave", (e) => {
    if (!e.relatedTarget) main.classList.remove("dropping");
  });
  document.addEventListener("drop", (e) => {
    main.classList.remove("dropping");
    const files = e.dataTransfer?.files;
    if (!files?.length) return;
    e.preventDefault();
    field.files = files;
    form.requestSubmit();
  });
}
