/**
 * What a result is worth: budgets of named contributions, pooled spread, steps of a night, differences of fan sets, the
 * usual tests, and propagation by Monte Carlo as a second path. Nothing here knows of records or plans.
 *
 * <p>Sources: JCGM 100:2008 (GUM), JCGM 101:2008 (Monte Carlo). May use units.
 */
package org.plateaubench.uncertainty;
