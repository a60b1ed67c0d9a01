// The words of the sums that a nurse asks for now and then, in Spanish. Given out by sums.ts.
import type { difficulty as englishDifficulty, sums as englishSums } from './sums_en';
import type { Said } from './es';

export const sums: Said<typeof englishSums> = {
  title: 'Más cálculos',
  lead: 'Cada uno muestra su fórmula y su fuente. Aquí no se registra nada.',
  work: 'Calcular',
  choose: 'Elegir',
  openLine: {
    title: 'Lo que da la vía abierta',
    lead: 'Solo con líquido sin medicación y si un minuto de él no hace daño: nunca con un medicamento o potasio en la bolsa, nunca en niños pequeños. Abrir del todo la llave, contar un minuto y volver a ajustarla. Un recuento muestra este equipo y esta vena; otro a distinta altura, qué la frena.',
    catheter: 'Catéter', declared: 'Flujo en su envase, si está a mano', set: 'Equipo de infusión', sets: { ward: 'Equipo de la unidad', wide: 'Equipo de sangre, quirófano o trauma' },
    height: 'Bolsa sobre el punto', cuff: 'Manguito de presión, si lo hay', count: 'Recuento con la llave abierta del todo', again: 'Contar a otra altura',
    flow: 'Contado', countHeight: 'Bolsa sobre el punto en este recuento',
    take: (flow) => `Tomar el recuento de arriba: ${flow}`,
    usual: 'Habitual en esta vía', byCount: 'Según el recuento', to: (low, high) => `${low} a ${high}`,
    before: 'Habitual:', after: 'Según el recuento:',
    asSaline: (fluid) => `La viscosidad de ${fluid} no está en la lista de la unidad: se calcula como suero salino.`,
  },
  push: {
    title: 'Bolo a mano', lead: 'Pasos de volumen según el reloj.',
    volume: 'Volumen en la jeringa', over: 'En', step: 'Paso', dose: 'Dosis que contiene, si se conoce un límite', highest: 'No más rápido que',
    medicine: 'Medicamento, como en la lista', weight: 'Peso',
    at: (when: string, given: string): string => `${when}: ${given} pasados`,
  },
  secondary: {
    title: 'Segunda bolsa por la misma vía', lead: 'Cuál pasa primero y cuándo termina todo.',
    primaryLeft: 'Queda en la principal', primaryFlow: 'Velocidad de la principal', volume: 'Volumen de la secundaria', flow: 'Velocidad de la secundaria',
    mode: 'Cómo pasan', modes: { primary_waits: 'La principal espera', together: 'Las dos a la vez' }, gravity: 'Por gravedad',
  },
  transfusion: {
    title: 'Una unidad de sangre', lead: 'Inicio lento, después la velocidad, y las horas que puede estar colgada.',
    volume: 'Volumen de la unidad', over: 'En', factor: 'Factor de goteo', weight: 'Peso',
    age: 'Edad', ages: { unknown: 'Sin decir', neonate: 'Recién nacido', infant: 'Lactante', child: 'Niño', adult: 'Adulto', older_adult: 'Adulto mayor' },
    first: (flow: string, volume: string): string => `Primero ${flow}, hasta que hayan pasado ${volume}`,
    then: (flow: string, time: string): string => `Después ${flow} durante ${time}`,
  },
  dilution: {
    title: 'Diluir y pasar despacio un medicamento', lead: 'Volumen mínimo y tiempo mínimo cuando la lista de la unidad tiene un límite.',
    medicine: 'Medicamento', dose: 'Dosis', volume: 'Diluido hasta, si está prescrito', duration: 'En, si está prescrito',
    restricted: 'Restricción de líquidos, prescrita', frail: 'Edad avanzada o cardiopatía', diluent: 'Preparado en', syringe: 'En una jeringa',
  },
  deficit: {
    title: 'Agua que falta, en porcentaje', lead: 'El peso antes de la enfermedad dice más que cualquier signo.',
    weight: 'Peso previo', share: 'Parte que falta', given: 'Ya administrado', maintenance: 'Velocidad de mantenimiento', over: 'Reponer en',
  },
  osmolality: {
    title: '¿Está deshidratada esta persona mayor?', lead: 'Según el suero: piel y boca no lo dicen.',
    sodium: 'Sodio', potassium: 'Potasio', glucose: 'Glucosa', urea: 'Urea en suero', measured: 'Osmolalidad medida, si se conoce',
  },
  forecast: {
    title: 'El sodio en dos días', lead: 'Si el plan se cumple y las pérdidas siguen. Una pérdida que no existe se escribe 0 mL/h. Medir de nuevo en pocas horas.',
    sodium: 'Sodio en suero', weight: 'Peso', group: 'Agua corporal como en',
    groups: { child: 'un niño', man: 'un hombre', woman: 'una mujer', older_man: 'un hombre mayor', older_woman: 'una mujer mayor' },
    flow: 'Velocidad de la infusión', cations: 'Su sodio y potasio juntos',
    urine: 'Orina', urineCations: 'Sodio y potasio de la orina', insensible: 'Respiración y piel',
    streams: { infusion: 'infusión', urine: 'orina', insensible: 'respiración y piel, tomadas como agua pura' },
    row: (at: string, sodium: string, other: string): string => `Tras ${at}: ${sodium} (otra fórmula ${other})`,
  },
  kidney: {
    title: 'Función renal', lead: 'Una cifra para dosis, otra para estadios.',
    age: 'Edad en años', weight: 'Peso', sex: 'Fórmula para', sexes: { female: 'mujeres', male: 'hombres' }, creatinine: 'Creatinina', creatinineHint: '1.2 mg/dL o 106 micromol/L',
  },
  size: { title: 'Tamaño corporal', lead: 'Superficie, peso ideal, agua corporal.', height: 'Talla', weight: 'Peso', age: 'Edad en años', sex: 'Fórmula para' },
  tip: {
    title: 'Tras el reflujo de sangre', lead: 'Cuánto avanzar y cuánto espacio queda hasta la pared opuesta.',
    vein: 'Anchura de la vena', angle: 'Ángulo de entrada en grados', lead2: 'De la punta de la aguja al borde del catéter', lowered: 'Ángulo tras bajar',
  },
};

export const difficulty: Said<typeof englishDifficulty> = {
  title: '¿Será difícil puncionar esta vena?',
  lead: 'Una escala publicada, con palabras propias. Lo no contestado cuenta como desconocido.',
  scale: 'Escala',
  points: (least: number, most: number): string => (least === most ? (least === 1 ? '1 punto' : `${least} puntos`) : `${least} a ${most} puntos`),
  band: (name: string): string => `Grupo: ${name}`,
  success: (share: string): string => `Primeros intentos con éxito: como máximo ${share}`,
  unanswered: 'Sin contestar',
};
