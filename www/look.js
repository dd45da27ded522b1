// Sets the look before the first paint, so that nothing white ever flashes in the workroom.
// Blocking and tiny on purpose; everything else about the looks is CSS.
(() => {
  let look = null;
  try {
    look = localStorage.getItem('sorrel-look');
  } catch {
    // Storage is refused (some private windows): the day look serves.
  }
  if (look !== 'amber' && look !== 'red') look = 'paper';
  document.documentElement.className = `look-${look}`;
})();
