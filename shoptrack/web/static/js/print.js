// A button that prints, where there is a script to press it; without one the browser's own Print does.
const button = document.getElementById('print');
if (button) {
  button.hidden = false;
  document.getElementById('print-how').hidden = true;
  button.addEventListener('click', () => window.print());
}
