import { mount } from 'svelte';
import App from './App.svelte';
import { current } from './shell/route.svelte';
import { aloud } from './shell/aloud.svelte';
import { speak, wantedLanguage } from './text/text';
import { theme } from './shell/theme.svelte';
import { ward } from './ward/ward.svelte';
import './style/face.css';
import './style/tokens.css';
import './style/base.css';

theme.start();
aloud.start();
ward.start().catch(() => ward.fail());
current.follow();

const page = document.getElementById('page');
if (page === null) throw new Error('the page has no place to stand');
const wanted = wantedLanguage();
await ward.chartsAgain();
if (wanted !== 'en') await speak(wanted).catch(() => undefined); // without a network English stays
mount(App, { target: page });
