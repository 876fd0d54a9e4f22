/**
 * When is a bench at equilibrium, and how far from it was it when measured: slope rule, lag filter, fits, heating
 * cycles. Pure mathematics on numbers that the caller has already judged good. May use units.
 */
package org.plateaubench.equilibrium;
