// What the engine says at the bedside, in Spanish. Part of the one catalogue of its phrases (engine_es.ts).
export const carePhrases: Readonly<Record<string, string>> = {
  // ---- ages, films
  'newborn': 'recién nacido', 'taken as a newborn': 'se toma como recién nacido', 'infant': 'lactante', 'child, locked': 'niño, vía sellada',

  // ---- access, handover, list
  'Kidney function below {#0}: an expert looks at the arms first. The veins may be needed for dialysis.': 'Función renal por debajo de {0}: primero un experto valora los brazos. Las venas pueden hacer falta para diálisis.',
  'Kidney disease: an expert looks at the arms first. The veins may be needed for dialysis.': 'Enfermedad renal: primero un experto valora los brazos. Las venas pueden hacer falta para diálisis.',
  'Kidney function below {#0}: no vein of the arm above the hand.': 'Función renal por debajo de {0}: ninguna vena del brazo por encima de la mano.',
  'another line lies in the same limb: {0}': 'hay otra vía en la misma extremidad: {0}',
  '{#0} failed attempt': '{0} intento fallido',
  '{#0} failed attempts': '{0} intentos fallidos',
  'fragile skin': 'piel frágil',
  'Bed {=0} · {=1} · no birth date, no number': 'Cama {0} · {1} · sin fecha de nacimiento ni número',
  'Bed not recorded · {=0} · born {#1}': 'Cama no registrada · {0} · nacimiento {1}',
  'viscosity': 'viscosidad', 'osmolarity': 'osmolaridad', 'sodium': 'sodio', 'potassium': 'potasio',
};
