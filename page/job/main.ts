// Everything that moves, started.

import { startReplay } from './bench';
import { startBox } from './box';
import { startBuilds } from './build';
import { choice } from './choice';
import { startProof } from './proof';
import { ticks } from './ticks';

document.documentElement.classList.add('scripted');
choice.start();
ticks.start();
startBox();
startBuilds();
startProof(startReplay());
