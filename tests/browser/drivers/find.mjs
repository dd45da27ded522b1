// How all drivers find things on the page: by label, by role and name, as a person does. Runs inside the page.

/**
 * @param what { label } a control by its label's text; { role, name } a button, link, heading … by its name;
 *   { css } a selector. `within` is a selector it must lie in. Only what can be seen counts, except { css }.
 *   A text fits when it is the whole name, or else when the name begins with it.
 */
export function find({ label, role, name, css, within }) {
  const place = within ? document.querySelector(within) : document;
  if (!place) return null;
  if (css) return place.querySelector(css);

  const plain = (text) => (text ?? '').replace(/\s+/g, ' ').trim();
  const seen = (element) => element.getClientRects().length > 0 && getComputedStyle(element).visibility !== 'hidden';
  const labelOf = (control) => {
    const by = control.getAttribute('aria-labelledby');
    if (by) return plain(by.split(/\s+/).map((id) => document.getElementById(id)?.textContent).join(' '));
    if (control.ariaLabel) return plain(control.ariaLabel);
    return plain([...(control.labels ?? [])].map((element) => element.textContent).join(' '));
  };
  const roles = {
    button: 'button, [role=button]', link: 'a[href]', heading: 'h1, h2, h3, h4', checkbox: 'input[type=checkbox]',
    radio: 'input[type=radio]', dialog: 'dialog[open], [role=alertdialog]', group: 'details > summary',
  };
  const nameOf = (element) => {
    if (element.matches('input')) return labelOf(element);
    const by = element.getAttribute('aria-labelledby');
    if (by) return plain(by.split(/\s+/).map((id) => document.getElementById(id)?.textContent).join(' '));
    return plain(element.ariaLabel ?? element.getAttribute('aria-label') ?? element.textContent);
  };
  const [wanted, selector, naming] = label
    ? [plain(label), 'input, select, textarea', labelOf]
    : [plain(name), roles[role] ?? `[role=${role}]`, nameOf];
  const all = [...place.querySelectorAll(selector)].filter(seen).map((element) => [element, naming(element)]);
  return (all.find(([, text]) => text === wanted) ?? all.find(([, text]) => text.startsWith(wanted)))?.[0] ?? null;
}

/** What an output, note or control says, as a person reads it. Runs inside the page. */
export function read(element) {
  return 'value' in element && !element.matches('output, button') ? element.value : element.innerText.trim();
}
