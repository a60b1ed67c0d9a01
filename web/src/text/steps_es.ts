export { steps } from './steps_en';
