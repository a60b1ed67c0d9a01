// Steps read aloud by the device's own voice, for whoever has both hands full. Chosen in Settings, kept on this device.
import { keep, readKept } from '../record/kept';
import { language } from '../text/text';

class Aloud {
  on = $state(false);

  start(): void {
    this.on = readKept<boolean>('aloud', 'device') === true;
  }

  /** Whether this device has a voice for the page's language; voices may come a moment after the page. */
  hasVoice(): boolean {
    return 'speechSynthesis' in window && speechSynthesis.getVoices().some((voice) => voice.lang.slice(0, 2) === language);
  }

  turn(on: boolean): void {
    this.on = on;
    keep('aloud', 'device', on);
    if (!on) this.hush();
  }

  read(words: string): void {
    if (!('speechSynthesis' in window)) return;
    const said = new SpeechSynthesisUtterance(words);
    said.lang = language;
    speechSynthesis.cancel();
    speechSynthesis.speak(said);
  }

  hush(): void {
    if ('speechSynthesis' in window) speechSynthesis.cancel();
  }
}

export const aloud = new Aloud();
