// Trades the secret of the QR code, which stands behind the "#" of the
// address, for a cookie.
const told = document.getElementById("told");
const secret = document.getElementById("secret");

async function pair(code) {
  told.textContent = "Pairing.";
  try {
    const r = await fetch("/pair", {method: "POST", body: code});
    if (r.ok) { location.replace("/"); return; }
    told.textContent = "Not paired: " + await r.text();
  } catch (e) {
    told.textContent = "Not paired: the machine is out of reach. Is this phone on the same network?";
  }
}

document.getElementById("pair").onsubmit = e => {
  e.preventDefault();
  pair(secret.value.trim().toUpperCase());
};

function invited() {
  if (location.hash.length < 2) return;
  const code = location.hash.slice(1);
  history.replaceState(null, "", "/"); // it is in no screenshot
  pair(code);
}
addEventListener("hashchange", invited); // a new code, read while this page is open
invited();
