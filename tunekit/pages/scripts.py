"""The app's own inline scripts. The guard lets a browser run exactly these, by their hashes, so their text is fixed."""

# A block, so that its names do not clash when it runs again; the second look is for late pictures.
TO_TOP = """{
const main = document.querySelector('[data-testid=stMain]');
const title = main && main.querySelector('h2');
if (title) { title.tabIndex = -1; title.focus({preventScroll: true}); }
if (main) { main.scrollTo(0, 0); setTimeout(() => main.scrollTo(0, 0), 150); }
}"""
OWN = (TO_TOP,)
