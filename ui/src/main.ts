// The start: takes the preferences, chooses the face, asks which cars there are, and mounts the pages. It never shows a
// page before it knows whether there is a notebook behind it.
import { mount } from 'svelte';
import App from './App.svelte';
import './app.css';
import { choose } from './faces/choose';
import { follow } from './faces/connection';
import { refused } from './faces/face';
import { notebook } from './state/notebook.svelte';
import { route } from './state/route.svelte';
import { settings } from './state/settings.svelte';
import NoNotebook from './views/NoNotebook.svelte';

settings.open();
const target = document.getElementById('pages');
if (!target) throw new Error('the page has no place for the program');

try {
  // The face takes the run's token out of the address before the route reads it.
  const face = await choose();
  route.follow();
  await notebook.open(face);
  // A notebook that does not take it goes on as before: it then knows nothing of the connection.
  follow((what) => void notebook.call('connection', what).catch(() => undefined));
  mount(App, { target });
} catch (thrown) {
  mount(NoNotebook, { target, props: { words: refused(thrown).message } });
}
