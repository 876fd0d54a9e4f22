/** Charts as SVG text: ticks, scales, marks, direct labels. Colours are classes of the page around. May use units. */
package org.plateaubench.report.chart;
