// The page's words in Spanish. Same shape as text/en.ts; the instruments' numbers and units stay as the engine writes them.
import type { AccessLimb, AccessRegion, AccessSide, CareDueState, Mark, Severity } from '../engine/generated/shapes';
import type { Zoom } from '../time/axis';
import type { Words } from './text';
import { job } from './job_es';
import { care } from './care_es';

/** The shape of a part of the catalogue, whatever its words are. */
export type Said<T> = T extends string ? string : T extends (...given: never[]) => unknown ? T : { readonly [K in keyof T]: Said<T[K]> };

const counted = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;

const regions: Record<AccessRegion, string> = {
  hand_back: 'dorso de la mano',
  wrist_back: 'cara dorsal de la muñeca',
  wrist_palmar: 'cara palmar de la muñeca',
  forearm_lower: 'tercio inferior del antebrazo',
  forearm_middle: 'tercio medio del antebrazo',
  forearm_upper: 'tercio superior del antebrazo',
  antecubital: 'flexura del codo',
  upper_arm: 'parte alta del brazo',
  foot: 'dorso del pie',
  leg: 'pierna',
  scalp: 'cuero cabelludo',
};
/** Each place ends with the part of the body that the side belongs to, except the scalp, which has two. */
const feminine: ReadonlySet<AccessRegion> = new Set<AccessRegion>(['hand_back', 'wrist_back', 'wrist_palmar', 'leg']);
const sided = (side: AccessSide, region: AccessRegion): string => {
  const adjective = `${side === 'left' ? 'izquierd' : 'derech'}${feminine.has(region) ? 'a' : 'o'}`;
  const place = region === 'scalp' ? `${regions.scalp}, lado ${adjective}` : `${regions[region]} ${adjective}`;
  return place.charAt(0).toUpperCase() + place.slice(1);
};

const marks: Record<Mark, { short: string; long: string }> = {
  read: { short: 'leído en la fuente', long: 'La cifra se leyó en la propia fuente.' },
  secondary: { short: 'de segunda mano', long: 'La cifra se leyó en un texto que cita la fuente.' },
  weak: { short: 'débil: confirmar en el centro', long: 'La evidencia es débil. Confirmar con la norma del centro antes de usarla.' },
  memory: { short: 'de memoria: confirmar en el centro', long: 'La cifra se recordó, no se leyó. Confirmar con la norma del centro antes de usarla.' },
  practice: { short: 'práctica habitual, sin fuente', long: 'Costumbre del oficio sin fuente publicada.' },
  computed: { short: 'calculado', long: 'Calculado a partir de los datos mostrados.' },
};

const dueStates: Record<CareDueState, string> = { later: 'más tarde', soon: 'pronto', due: 'toca ahora', overdue: 'atrasado' };

const spanish: Said<Words> = {
  name: 'Dwell',
  months: ['ene', 'feb', 'mar', 'abr', 'may', 'jun', 'jul', 'ago', 'sep', 'oct', 'nov', 'dic'],
  days: ['dom', 'lun', 'mar', 'mié', 'jue', 'vie', 'sáb'],
  job,
  care,
  skip: 'Ir al contenido',

  sections: {
    plan: { name: 'Planificar', question: '¿Sirve una vía periférica para esta terapia? ¿Qué vena, calibre y longitud?' },
    place: { name: 'Colocar', question: '¿Está todo listo, qué viene ahora y cuánto debe secar?' },
    infuse: { name: 'Infundir', question: '¿Qué velocidad, cuántas gotas por minuto y cuándo se acaba esta bolsa?' },
    watch: { name: 'Vigilar', question: '¿Qué vía es la más urgente? ¿Sigue bien este punto?' },
    remove: { name: 'Retirar', question: '¿Puede salir, cuánto se comprime y está entero el catéter?' },
    learn: { name: 'Aprender', question: '¿Cuánto duran las vías, por qué fallan y sirvió el cambio?' },
  },
  navigation: 'Secciones',
  notFound: { title: 'Página no encontrada', body: 'La dirección no corresponde a ninguna página.', back: 'Ir a Vigilar' },

  header: {
    charting: (name: string): string => `Registra: ${name}`,
    nobody: 'Nadie está registrando',
    demo: 'Unidad de prueba: personas inventadas',
    demoShort: 'Prueba',
    menu: (name: string): string => `${name}: más`,
    signOut: 'Salir',
    ward: (name: string): string => name,
  },
  besides: { begin: 'Empezar', handover: 'Relevo' },
  connection: {
    onServer: 'Todo en el servidor',
    notLooked: 'No se sabe qué espera en este dispositivo',
    sending: 'Enviando…',
    unreadable: (n: number): string => `${counted(n, 'registro', 'registros')} de este dispositivo no se ${n === 1 ? 'puede' : 'pueden'} abrir`,
    onDevice: (n: number): string => `${counted(n, 'registro', 'registros')} solo en este dispositivo`,
    offlineNothing: 'Sin conexión; nada pendiente de enviar',
    refused: (n: number): string => counted(n, 'registro por corregir', 'registros por corregir'),
  },
  news: {
    label: 'Lo que conviene saber de lo que se muestra',
    justNow: 'hace menos de un minuto',
    ago: (span: string): string => `hace ${span}`,
    stood: (when: string, ago: string): string => `Así estaba el registro (${when}), ${ago}.`,
    unreached: (when: string, ago: string): string => `Así estaba el registro (${when}), ${ago}; no se puede contactar con la historia.`,
    reached: 'La historia responde otra vez.',
    setBack: 'La historia está más atrás de lo que este dispositivo ha visto: quizá se restauró de una copia anterior.',
    given: (n: number): string => `Se le ${n === 1 ? 'volvió' : 'volvieron'} a entregar ${counted(n, 'registro que tenía', 'registros que tenía')} de este dispositivo.`,
    putAway: 'Visto, quitar',
  },
  noWard: 'sin unidad indicada',
  sharedLimb: 'otra vía en este miembro',
  quoted: (words: string): string => (words.startsWith('“') && words.endsWith('”') ? words : `«${words}»`),
  entry: {
    waiting: 'En este dispositivo',
    kept: 'En el servidor',
    refused: 'Rechazado por el servidor: corregirlo',
  },

  patient: {
    label: (name: string): string => `Paciente: ${name}`,
    born: 'Nacimiento',
    age: 'Edad',
    sex: 'Sexo',
    allergies: 'Alergias',
    anticoagulant: 'Anticoagulante',
    sexes: { female: 'Femenino', male: 'Masculino', other: 'Otro', unknown: 'No consta' },
    unknown: 'No se sabe',
    noneKnown: 'Sin alergias conocidas',
    yes: 'Sí',
    no: 'No',
    allergiesNotAsked: 'Alergias no preguntadas',
    anticoagulantUnknown: 'No se sabe si toma anticoagulante',
    cannotReport: 'No puede decir dónde le duele',
    fragileSkin: 'Piel frágil',
    noWeight: 'peso no anotado',
    bornOn: (day: string): string => `nació el ${day}`,
    toWard: 'Unidad',
    toLine: 'La vía',
  },

  regions,
  regionsShort: {
    hand_back: 'dorso de la mano',
    wrist_back: 'muñeca, dorso',
    wrist_palmar: 'muñeca, palma',
    forearm_lower: 'antebrazo, inferior',
    forearm_middle: 'antebrazo, medio',
    forearm_upper: 'antebrazo, superior',
    antecubital: 'flexura del codo',
    upper_arm: 'brazo',
    foot: 'dorso del pie',
    leg: 'pierna',
    scalp: 'cuero cabelludo',
  },
  sides: { left: 'izq.', right: 'der.' },
  site: sided,

  limb: (side: AccessSide, limb: AccessLimb): string => {
    const masculine = side === 'left' ? 'izquierdo' : 'derecho';
    const feminine = side === 'left' ? 'izquierda' : 'derecha';
    if (limb === 'head') return `Lado ${masculine} de la cabeza`;
    if (limb === 'leg') return `Pierna ${feminine}`;
    return limb === 'arm' ? `Brazo ${masculine}` : `${String(limb)} ${feminine}`;
  },

  arms: {
    label: 'Brazos: elegir el punto',
    front: 'Cara palmar',
    back: 'Cara dorsal',
    facing: 'Paciente visto de frente: su brazo derecho queda a la izquierda de quien mira.',
    right: 'Brazo derecho',
    left: 'Brazo izquierdo',
    chosen: (site: string): string => `Elegido: ${site}`,
    none: 'Ningún punto elegido. Tocar una parte del brazo o elegir en la lista.',
    byName: 'Elegir por nombre',
    avoidKey: 'evitar',
    avoid: 'evitar: nervios y arteria muy cerca',
    restricted: (reason: string): string => `restringido: ${reason}`,
    restrictedShort: (reason: string): string => `Restringido: ${reason}`,
    current: (what: string): string => `vía actual: ${what}`,
    past: (what: string): string => `punto anterior: ${what}`,
    veins: 'Las venas se dibujan por donde suelen pasar. Buscar las de este paciente.',
  },

  ribbon: {
    zoom: 'Tiempo mostrado',
    zooms: { '12h': '12 h', '18h': '18 h', '24h': '24 h', '3d': '3 d', '7d': '7 d' } satisfies Record<Zoom, string>,
    now: 'ahora',
    day: (n: number): string => `día ${n}`,
    inPlace: (span: string): string => `colocada hace ${span}`,
    removedAfter: (span: string): string => `retirada tras ${span}`,
    notPlaced: 'aún sin colocar',
    lateBy: (span: string): string => `retraso ${span}`,
    inTime: (span: string): string => `en ${span}`,
    soundLooks: (n: number): string => (n === 1 ? 'revisión, grado 0' : `${n} revisiones, todas de grado 0`),
    since: (when: string): string => `desde ${when}`,
    dueNow: 'toca ahora',
    nothingDue: 'Nada pendiente',
    dueUnknown: 'Aquí no se pudo calcular lo pendiente',
    emptyAt: (time: string): string => `bolsa vacía ${time}`,
    runs: (what: string): string => `pasando: ${what}`,
    grade: (grade: number): string => `grado ${grade}`,
    unmatched: 'los signos no encajan en ningún grado: valorar',
    corrected: 'corregido',
    due: (title: string, state: CareDueState, when: string): string => `${title}, ${dueStates[state]}, ${when}`,
    large: 'La historia de esta vía. Las flechas izquierda y derecha recorren las marcas.',
    asList: 'En lista',
    pick: 'Elegir una marca para leerla.',
    done: 'Hecho',
    ahead: 'Por hacer',
    by: (author: string): string => `por ${author}`,
    key: 'Significado de las marcas',
    keys: {
      sound: 'sano',
      one: 'grado 1',
      two: 'grado 2',
      severe: '3 o más',
      unmatched: 'sin grado',
      flush: 'lavado',
      rate: 'velocidad',
      problem: 'problema',
      due: 'más tarde',
      soon: 'pronto',
      now_due: 'ahora',
      late: 'con retraso',
      danger: 'peligroso',
    },
  },

  margin: {
    within: 'dentro del límite',
    over: 'por encima del límite',
    short: 'por debajo del mínimo',
    mayCross: 'puede pasar el límite',
    between: (low: string, high: string): string => `probable de ${low} a ${high}`,
    unknown: 'No se sabe: faltan datos para comparar',
  },

  working: {
    show: (name: string): string => `Cálculo: ${name}`,
    formula: 'Fórmula',
    inputs: 'Datos',
    result: 'Resultado',
    source: 'Fuente',
  },
  marks,

  clock: {
    start: 'Empezar',
    stop: 'Parar',
    again: 'Empezar de nuevo',
    atLeast: (limit: string): string => `al menos ${limit}`,
    atMost: (limit: string): string => `como máximo ${limit}`,
    idle: 'Sin empezar',
    wait: (span: string): string => `Esperar ${span} más`,
    reached: 'Tiempo cumplido',
    left: (span: string): string => `quedan ${span}`,
    near: (span: string): string => `Solo quedan ${span}`,
    over: (span: string): string => `Pasado ${span}: soltar`,
    stoppedShort: (span: string): string => `Parado ${span} antes de tiempo`,
    stoppedOver: (span: string): string => `Parado con ${span} de más`,
    stoppedGood: 'Parado a tiempo',
    startedAt: (time: string): string => `empezado ${time}`,
  },

  taps: {
    area: 'Tocar con cada gota',
    count: (n: number): string => counted(n, 'gota', 'gotas'),
    since: (span: string): string => `en ${span} s`,
    undo: 'Borrar el último toque',
    reset: 'Contar de nuevo',
    start: 'Tocar aquí, o pulsar la barra espaciadora, cada vez que cae una gota.',
  },

  sign: { present: 'Presente', absent: 'No se ve' },

  pain: {
    score: (n: number): string => `${n} de 10`,
  },

  field: {
    such: (example: string): string => `por ejemplo, ${example}`,
    required: 'necesario',
    given: (found: string): string => (found === '' ? 'Sin dato' : `«${found}»`),
    expected: (expected: string): string => `se espera: ${expected}`,
    heading: (n: number): string => (n === 1 ? 'Una cosa por corregir' : `${n} cosas por corregir`),
  },

  severity: { information: 'Nota', caution: 'Precaución', stop: 'Parar y pensar' } satisfies Record<Severity, string>,

  survival: {
    label: (what: string): string => `Curva: ${what}`,
    x: 'días colocada',
    y: 'aún funciona',
    band: 'la banda es el intervalo del 95 %',
    atDay: (days: number, share: string): string => `día ${days}: ${share}`,
    table: 'Lo mismo en cifras',
    percent: (share: number): string => `${Math.round(share * 100)} %`,
    interval: 'Intervalo',
    group: 'Grupo',
    days: 'Día',
    share: 'Aún funciona',
  },

  gallery: {
    title: 'Cada pieza, en cada estado',
    lead: 'Para quienes construyen la página. Todo y todos son inventados.',
  },
};

export const text = spanish as Words;
