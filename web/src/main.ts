import './store/titles';
import { mount } from 'svelte';
import App from './App.svelte';
import { current } from './shell/route.svelte';
import { aloud } from './shell/aloud.svelte';
import { signed } from './shell/signed.svelte';
import { speak, wantedLanguage } from './text/text';
import { theme } from './shell/theme.svelte';
import { ward } from './store/ward.svelte';
import './style/face.css';
import './style/tokens.css';
import './style/base.css';

theme.start();
aloud.start();
const looked = signed.start();
if (signed.wasDoor) await looked; // else a server without accounts answers for the ward at once
const isIn = signed.door !== 'out' && signed.door !== 'locked';
if (isIn) (signed.looksAfter ? ward.start() : ward.startWithoutPatients()).catch(() => ward.fail());
current.follow();

const page = document.getElementById('page');
if (page === null) throw new Error('the page has no place to stand');
const wanted = wantedLanguage();
if (signed.person === null) await ward.chartsAgain();
else await ward.chart(signed.person.name);
if (wanted !== 'en') await speak(wanted).catch(() => undefined); // without a network English stays
mount(App, { target: page, props: { isBegun: isIn } });
