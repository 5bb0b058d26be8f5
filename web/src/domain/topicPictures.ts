// Plain line drawings for the topics of the briefing, one a topic, on a sheet of 160 by 96. They show what the topic is
// about and say nothing that its words do not say.
export interface Drawing {
  /** Lines. */
  lines: string;
  /** Circles: middle and radius. */
  rounds?: readonly (readonly [number, number, number])[];
  /** Filled with ink. */
  solid?: string;
}

const VAN = 'M12 72 V28 Q12 20 20 20 H104 Q110 20 113 25 L126 46 L142 51 Q147 53 147 58 V72 H134 M110 72 H52 M28 72 H12 M22 32 H44 V46 H22 Z M108 30 L119 46 H102 V30 Z';
const WHEELS = [
  [40, 74, 11],
  [122, 74, 11],
] as const;

const DRAWINGS: Readonly<Record<string, Drawing>> = {
  gas_use: {
    lines: 'M56 48 Q56 38 68 38 H90 Q102 38 102 48 V88 H56 Z M73 38 V30 H85 V38 M66 24 H92 M79 24 V30 M85 33 H104 Q122 33 122 50 V66 M98 16 A22 10 0 0 0 60 16 M60 16 L61 8 M60 16 L68 17',
  },
  no_hob_heating: {
    lines: 'M48 28 H112 V68 H48 Z M76 42 A8 8 0 1 0 76 54 M122 38 Q129 48 122 58 M131 31 Q143 48 131 65 M38 38 Q31 48 38 58 M29 31 Q17 48 29 65',
    rounds: [[92, 48, 8]],
  },
  flue_cover: {
    lines: 'M22 20 H76 V76 H22 Z M32 34 H66 M32 44 H66 M32 54 H66 M32 64 H66 M104 20 H146 V76 H104 Z M118 44 H132 V52 H118 Z M82 48 H97 M91 42 L97 48 L91 54',
  },
  hob_oven: {
    lines: 'M24 60 H136 V82 H24 Z M32 60 L42 14 H126 L128 60 M60 54 H100 M40 71 H52 M64 71 H76 M88 71 H100 M112 71 H124 M80 50 Q66 42 80 24 Q83 34 88 38 Q94 46 80 50 Z',
  },
  hook_up: {
    lines: 'M92 32 H118 Q128 32 128 42 V54 Q128 64 118 64 H92 Z M92 40 H80 M92 48 H74 M92 56 H80 M128 48 H136 Q150 48 150 66 V88',
    rounds: [
      [42, 48, 28],
      [42, 34, 3],
      [31, 54, 3],
      [53, 54, 3],
    ],
  },
  twelve_volt: { lines: 'M30 36 H130 V84 H30 Z M44 36 V26 H60 V36 M100 36 V26 H116 V36 M44 58 H60 M100 58 H116 M108 50 V66' },
  fridge: { lines: 'M54 8 H106 V90 H54 Z M54 36 H106 M62 18 V28 M62 46 V62 M84 54 V78 M73 60 L95 72 M73 72 L95 60' },
  water: {
    lines: 'M46 14 C30 38 26 46 26 56 A20 20 0 0 0 66 56 C66 46 62 38 46 14 Z M38 58 A9 9 0 0 0 47 67 M112 43 V57',
    rounds: [
      [112, 50, 26],
      [112, 50, 16],
    ],
  },
  toilet: { lines: 'M26 46 Q26 40 32 40 H122 Q128 40 128 46 V82 H26 Z M112 40 V22 H136 V34 H124 V40 M46 40 V28 H84 V40 M40 60 H92 M40 68 H74' },
  frost: {
    lines: 'M44 16 V80 M16 32 L72 64 M16 64 L72 32 M36 20 L44 28 L52 20 M36 76 L44 68 L52 76 M92 34 H132 V48 H92 Z M112 34 V22 M100 22 H124 M126 48 V58 M126 66 Q118 76 126 82 Q134 76 126 66 Z',
  },
  before_driving: { lines: 'M48 14 H112 V90 H48 Z M68 14 V8 H92 V14 M56 34 L61 39 L69 29 M56 54 L61 59 L69 49 M56 74 L61 79 L69 69 M78 34 H104 M78 54 H104 M78 74 H104' },
  size: {
    lines: 'M4 6 H156 M4 14 H156 M20 6 L12 14 M44 6 L36 14 M68 6 L60 14 M92 6 L84 14 M116 6 L108 14 M140 6 L132 14 M16 78 V36 Q16 28 24 28 H88 Q93 28 96 33 L106 50 L120 55 Q124 57 124 62 V78 H112 M92 78 H50 M30 78 H16 M144 22 V84 M138 30 L144 22 L150 30 M138 76 L144 84 L150 76',
    rounds: [
      [40, 80, 9],
      [102, 80, 9],
    ],
  },
  awning: { lines: 'M8 88 H152 M16 88 V12 H58 V88 M28 26 H46 V44 H28 Z M58 18 L142 34 V46 L58 30 Z M79 22 V34 M100 26 V38 M121 30 V42 M138 46 V88' },
  bicycle_rack: {
    lines: 'M46 62 L66 32 H104 L116 62 M66 32 L82 62 H46 M82 62 L104 32 M104 32 L100 22 H112 M60 26 H74 M66 32 L64 26 M20 88 H142',
    rounds: [
      [46, 62, 22],
      [116, 62, 22],
    ],
  },
  seats_belts: { lines: 'M48 22 Q50 12 60 12 Q70 12 71 22 L78 58 H116 Q124 58 124 66 V74 H60 Z M70 74 V88 M114 74 V88 M60 26 L112 62 M104 56 L98 66' },
  doors_locks: {
    lines: 'M40 8 H92 V90 H40 Z M50 18 H82 V42 H50 Z M78 54 H86 V64 H78 Z M122 47 V82 M122 70 H132 M122 80 H130',
    rounds: [[122, 36, 11]],
  },
  tyres_breakdown: {
    lines: 'M116 24 L146 80 H86 Z M116 44 V60 M116 68 V70',
    rounds: [
      [46, 54, 30],
      [46, 54, 16],
      [46, 54, 4],
    ],
  },
  emergency: { lines: 'M60 42 Q60 30 78 30 Q96 30 96 42 V90 H60 Z M78 30 V20 M64 20 H94 M64 12 L94 20 M94 24 H106 Q118 24 118 40 V58 M112 58 H124 L128 70 H108 Z M60 56 H96' },
  accident: {
    lines: 'M4 74 V52 L16 36 H42 L56 54 V74 H46 M24 74 H4 M156 74 V52 L144 36 H118 L104 54 V74 H114 M136 74 H156 M80 44 V26 M70 48 L58 36 M90 48 L102 36',
    rounds: [
      [35, 76, 9],
      [125, 76, 9],
    ],
  },
  return: { lines: `${VAN} M128 8 H60 M70 2 L60 8 L70 14`, rounds: WHEELS },
  first_time_layout: {
    lines: 'M46 44 L70 46 M114 44 L90 46 M80 58 V82',
    rounds: [
      [80, 48, 36],
      [80, 48, 10],
    ],
  },
  pets: {
    lines: '',
    solid: 'M80 46 C62 46 50 66 56 78 C62 88 72 80 80 80 C88 80 98 88 104 78 C110 66 98 46 80 46 Z M48 32 A8 11 0 1 0 48 54 A8 11 0 1 0 48 32 Z M68 12 A8 12 0 1 0 68 36 A8 12 0 1 0 68 12 Z M92 12 A8 12 0 1 0 92 36 A8 12 0 1 0 92 12 Z M112 32 A8 11 0 1 0 112 54 A8 11 0 1 0 112 32 Z',
  },
  trailer: {
    lines: 'M6 72 V46 H58 V72 H46 M24 72 H6 M58 66 H72 M74 72 V36 Q74 30 80 30 H128 L138 50 L150 54 V72 H144 M122 72 H102 M80 72 H74 M118 38 H126 L132 50 H118 Z',
    rounds: [
      [35, 74, 9],
      [91, 74, 9],
      [133, 74, 9],
    ],
  },
};

/** The drawing of a topic; an operator's own topics have none. */
export function drawingOf(topic: string): Drawing | undefined {
  return DRAWINGS[topic];
}
