import { describe, expect, it } from 'vitest';
import { phrases } from './engine_es';
import { translator } from './said';

// Some are of rooms that speak by messages by now; they stay here as examples.
const say = translator({
  ...phrases,
  'Check the site': 'Revisar el punto',
  'removal ordered by {=0}: {=1}': 'retirada prescrita por {0}: {1}',
  'vesicant running': 'se infunde un vesicante',
  'not assured, emergency line': 'no asegurada, vía de emergencia',
  'site bends with the joint': 'el punto se dobla con la articulación',
  'no signs': 'sin signos',
  'site checked: {0}': 'punto revisado: {0}',
  'nothing charted': 'nada registrado',
  'emergency line: out by {#0}': 'vía de emergencia: retirar antes de {0}',
  'Peripheral IV lines: handover': 'Vías periféricas: relevo',
});

describe('translator', () => {
  it('says a whole phrase', () => {
    expect(say('Check the site')).toBe('Revisar el punto');
  });
  it('fills the places of a phrase, in the other order too', () => {
    expect(say('emergency line: out by 26 Nov 2026')).toBe('vía de emergencia: retirar antes de 26 nov 2026');
    expect(translator({ '{0} of {1}': '{1}: {0}' })('two of three')).toBe('three: two');
  });
  it('says what stands in the places when it is known, and else keeps it', () => {
    expect(translator({ 'above {0}': 'encima de {0}', 'the leak': 'la fuga' })('above the leak')).toBe('encima de la fuga');
    expect(translator({ 'above {0}': 'encima de {0}' })('above something new')).toBe('encima de something new');
  });
  it('takes the most specific of the phrases that fit', () => {
    const to = translator({ '{0} vein': 'vena {0}', '{0} of the vein': '{0} de la vena', '{0} of {1}': '{0} de {1}' });
    expect(to('half of the vein')).toBe('half de la vena');
  });
  it('keeps names and own words as they were typed', () => {
    expect(say('removal ordered by Dr Pain: pain')).toBe('retirada prescrita por Dr Pain: pain');
  });
  it('takes a number for a number only', () => {
    expect(say('at least 30 s')).toBe('al menos 30 s');
    expect(say('at least somebody')).toBe('at least somebody');
  });
  it('writes the month of a date', () => {
    expect(say('emergency line: out by 28 Jan 2027')).toBe('vía de emergencia: retirar antes de 28 ene 2027');
  });
  it('splits what no phrase holds whole', () => {
    expect(say('vesicant running: every 15 min; age not recorded')).toBe('se infunde un vesicante: cada 15 min; edad no registrada');
    expect(say('Airway, breathing, circulation; the emergency plan. Warm, dry compress.')).toBe('Vía aérea, respiración, circulación; plan de emergencia. Calor seco, sin quemar.');
    expect(say('Asepsis: not assured, emergency line')).toBe('Asepsia: no asegurada, vía de emergencia');
  });
  it('does not split inside brackets', () => {
    expect(say('Due: Check the site, 26 Nov 2026 09:45 (site bends with the joint: every 1 h; age not recorded)')).toBe(
      'Toca: Revisar el punto, 26 nov 2026 09:45 (el punto se dobla con la articulación: cada 1 h; edad no registrada)',
    );
  });
  it('keeps several parts together that are one phrase', () => {
    expect(say('responded: occlusion; Stop here. Leave the catheter in for now; disconnect. Do not flush.; called Dr X')).toBe(
      'actuación: obstrucción; Parar aquí. Dejar por ahora el catéter; desconectar. No lavar.; avisado: Dr X',
    );
  });
  it('keeps the part that it does not know', () => {
    expect(say('no signs; something new')).toBe('sin signos; something new');
  });
  it('says a site with its side and vein', () => {
    expect(say('left forearm, lower third, cephalic vein')).toBe('tercio inferior del antebrazo izquierdo, vena cefálica');
  });
  it('says what was charted', () => {
    expect(say('infusion started: sodium chloride 0.9 % 1\u202f000 mL with potassium chloride 20 mL at 125 mL/h by gravity, 20 drops/mL')).toBe(
      'infusión iniciada: cloruro sódico 0.9 % 1\u202f000 mL con cloruro potásico 20 mL a 125 mL/h por gravedad, 20 gotas/mL',
    );
    expect(say('site checked: redness, pain; pain 4 of 10; phlebitis 0 to 4 (version 1): grade 2; still needed')).toBe(
      'punto revisado: enrojecimiento, dolor; dolor 4 de 10; flebitis 0 a 4 (versión 1): grado 2; sigue siendo necesaria',
    );
  });
  it('follows the capital of the English', () => {
    expect(say('Vesicant running')).toBe('Se infunde un vesicante');
    expect(say('check the site')).toBe('revisar el punto');
    expect(say('At least 2')).toBe('Al menos 2');
  });
  it('leaves the unknown in English', () => {
    expect(say('The moon is full tonight')).toBe('The moon is full tonight');
    expect(say('')).toBe('');
  });
  it('leaves Spanish as it is', () => {
    const changed = Object.entries(phrases).flatMap(([english, spanish]) => (/\{/.test(english) || say(spanish) === spanish ? [] : [`${spanish} → ${say(spanish)}`]));
    expect(changed).toEqual([]);
  });
});

describe('the phrases', () => {
  const places = (text: string): string[] => [...text.matchAll(/\{[#=]?(\d+)\}/g)].map((found) => found[1] ?? '').sort();
  it('have the same places on both sides, each once in the English', () => {
    for (const [english, spanish] of Object.entries(phrases)) {
      expect([english, [...new Set(places(spanish))]]).toEqual([english, [...new Set(places(english))]]);
      expect([english, new Set(places(english)).size]).toEqual([english, places(english).length]);
    }
  });
  it('are never empty', () => {
    for (const [english, spanish] of Object.entries(phrases)) expect([english, spanish.trim()]).not.toEqual([english, '']);
  });
});
