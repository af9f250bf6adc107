// The code came in the address's fragment, which no server and no log ever sees: it is put into the form and sent.
const form = document.getElementById('pair'), code = decodeURIComponent(location.hash.slice(1));
if (code) {
  history.replaceState(null, '', location.pathname); // going back, or a picture of the screen, gives nothing away
  form.elements.code.value = code;
  form.requestSubmit();
}
form.addEventListener('submit', () => { form.querySelector('button').textContent = 'Pairing …'; });
