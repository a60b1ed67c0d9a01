// What the engine says at the bedside, in Spanish. Part of the one catalogue of its phrases (engine_es.ts).
export const carePhrases: Readonly<Record<string, string>> = {
  // ---- ages, films
  'Look whether the film must go': 'Mirar si hay que cambiar el apósito',
  'newborn': 'recién nacido', 'taken as a newborn': 'se toma como recién nacido', 'infant': 'lactante', 'child, locked': 'niño, vía sellada',

  // ---- access, handover, list
  'Kidney function below {#0}: an expert looks at the arms first. The veins may be needed for dialysis.': 'Función renal por debajo de {0}: primero un experto valora los brazos. Las venas pueden hacer falta para diálisis.',
  'Kidney disease: an expert looks at the arms first. The veins may be needed for dialysis.': 'Enfermedad renal: primero un experto valora los brazos. Las venas pueden hacer falta para diálisis.',
  'Kidney function below {#0}: no vein of the arm above the hand.': 'Función renal por debajo de {0}: ninguna vena del brazo por encima de la mano.',
  'VESICANT running': 'SE INFUNDE UN VESICANTE',
  'what runs is not on the list: taken as a VESICANT': 'lo que se infunde no está en la lista: se toma como VESICANTE',
  'a vesicant or something unknown ran since the site was last seen sound': 'se infundió un vesicante o algo desconocido desde que el punto se vio sano',
  'it runs where policy forbids: over a joint or in the back of the hand': 'se infunde donde la norma lo prohíbe: sobre una articulación o en el dorso de la mano',
  'the only line: a new one before this one goes': 'la única vía: otra nueva antes de quitar esta',
  'another line lies in the same limb': 'hay otra vía en la misma extremidad',
  'another line lies in the same limb: {0}': 'hay otra vía en la misma extremidad: {0}',
  'NO BLOOD RETURN: no irritant or vesicant': 'SIN REFLUJO DE SANGRE: ni irritantes ni vesicantes',
  'blood return not recorded': 'reflujo de sangre no registrado',
  'emergency line: out by {#0}': 'vía de emergencia: retirar antes de {0}',
  '{#0} failed attempt': '{0} intento fallido',
  '{#0} failed attempts': '{0} intentos fallidos',
  'fragile skin': 'piel frágil',
  'Bed {=0} · {=1} · born {#2}': 'Cama {0} · {1} · nacimiento {2}',
  'Bed {=0} · {=1} · no. {=2}': 'Cama {0} · {1} · n.º {2}',
  'Bed {=0} · {=1} · no birth date, no number': 'Cama {0} · {1} · sin fecha de nacimiento ni número',
  'Bed not recorded · {=0} · born {#1}': 'Cama no registrada · {0} · nacimiento {1}',
  'what it does when it leaks': 'qué hace al salirse de la vena',
  'how strong and how fast it may be given': 'con qué concentración y a qué velocidad puede darse',
  'viscosity': 'viscosidad', 'osmolarity': 'osmolaridad', 'sodium': 'sodio', 'potassium': 'potasio',
};
