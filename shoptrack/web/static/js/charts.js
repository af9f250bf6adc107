// Figures of numbers in the page → charts in ink on paper. Plotly draws them; without it the tables stand alone.
/* global Plotly */
'use strict';

const LEAST_PX = 520;
const token = name => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();

function tokens() {
  const look = Object.fromEntries(['ink', 'pencil', 'rust', 'paper', 'paper-2', 'hair'].map(name => [name, token(name)]));
  return { ...look, letters: getComputedStyle(document.body).fontFamily };
}

// an axis as a drawing has it: an ink line with ticks outside, and hair lines across the sheet
function axis(said, look, few) {
  const ticks = said.ticks.filter((_, n) => !few || said.ticks.length < 5 || n % 2 === 0);
  return {
    title: { text: said.words, font: { size: 15, color: look.pencil }, standoff: 10 },
    type: said.log ? 'log' : 'linear', range: [said.begins, said.ends], fixedrange: true,
    tickmode: 'array', tickvals: ticks.map(tick => tick[0]), ticktext: ticks.map(tick => tick[1]), tickangle: 0,
    tickfont: { size: 14, color: look.ink }, ticks: 'outside', ticklen: 6, tickcolor: look.ink, automargin: true,
    showline: true, linecolor: look.ink, linewidth: 1.6, zeroline: false, showgrid: said.across, gridcolor: look.hair,
  };
}

function spread(series, lying, look) {
  if (!series.high.length) return {};
  const middle = lying ? series.x : series.y;
  const bars = {
    type: 'data', symmetric: false, array: series.high.map((high, n) => high - middle[n]),
    arrayminus: series.low.map((low, n) => middle[n] - low), color: look[series.ink], thickness: 2, width: 8,
  };
  return lying ? { error_x: bars } : { error_y: bars };
}

function trace(series, lying, look) {
  const ink = look[series.ink], words = series.words.length > 0;
  const said = {
    name: series.name, x: series.x, y: series.y, text: series.words, textposition: 'none',
    hoverinfo: words ? 'text' : 'skip', ...spread(series, lying, look),
  };
  if (series.drawn === 'bars') {
    return {
      ...said, type: 'bar', orientation: lying ? 'h' : 'v', width: 0.6,
      marker: { line: { color: ink, width: 2 }, pattern: { shape: '/', fgcolor: ink, bgcolor: look['paper-2'], size: 9, solidity: 0.16 } },
    };
  }
  return {
    ...said, type: 'scatter', cliponaxis: false,
    mode: series.drawn === 'points' ? 'markers' : words ? 'lines+markers' : 'lines',
    line: { color: ink, width: 2.2, dash: series.line },
    marker: { color: ink, size: 9, symbol: series.symbol, line: { color: ink, width: 1.8 } },
  };
}

function layout(chart, look, narrow) {
  return {
    paper_bgcolor: look.paper, plot_bgcolor: look.paper, font: { family: look.letters, size: 14, color: look.ink },
    margin: { l: 12, r: 18, t: 16, b: 12 }, height: narrow ? 330 : 400, dragmode: false, hovermode: 'closest', bargap: 0.3,
    showlegend: chart.series.length > 1,
    legend: { orientation: 'h', x: 0, y: 1.02, yanchor: 'bottom', font: { size: 14, color: look.ink }, itemclick: false, itemdoubleclick: false },
    hoverlabel: { bgcolor: look['paper-2'], bordercolor: look.ink, font: { family: look.letters, size: 15, color: look.ink }, align: 'left' },
    xaxis: axis(chart.x, look, narrow), yaxis: axis(chart.y, look, false),
  };
}

function draw(figure) {
  const chart = JSON.parse(figure.dataset.chart), look = tokens();
  const paper = figure.querySelector('.chart-paper'), save = figure.querySelector('button');
  paper.hidden = false;
  const traces = chart.series.map(series => trace(series, chart.lying, look));
  Plotly.react(paper, traces, layout(chart, look, paper.clientWidth < LEAST_PX),
    { displayModeBar: false, displaylogo: false, responsive: true, scrollZoom: false, doubleClick: false })
    .then(() => { figure.dataset.drawn = 'yes'; save.hidden = false; });
  save.onclick = () => Plotly.downloadImage(paper, { format: 'png', filename: chart.name, width: 1200, height: 700, scale: 2 });
}

function drawAll() {
  if (typeof Plotly === 'undefined') return;
  for (const figure of document.querySelectorAll('[data-chart]')) draw(figure);
}

drawAll();
matchMedia('(prefers-color-scheme: dark)').addEventListener('change', drawAll);
