// Everything that moves, started.

document.documentElement.classList.add('scripted');
choice.start();
ticks.start();
startBox();
startBuilds();
startProof(startReplay());
