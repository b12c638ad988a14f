// Package curve turns a force-time recording of countermovement jumps into measured reps: where each phase begins and
// ends, and every metric with its uncertainty. It knows no good or bad; that is what package quality is for.
//
// # Conventions
//
// SI units. Force, velocity and displacement are positive upward; displacement is 0 standing. Times are seconds on the
// recording's own clock. Asymmetry is (left-right)/(left+right) in per cent, so positive means left larger. A quantity
// that could not be determined is NaN in numbers and says why in words.
//
// Positions in a series are fractional samples, since takeoff and landing fall between samples: at 1000 Hz one sample
// of flight time is 0.2 cm of jump height.
//
// # Order of work
//
//	recording -> flights -> reps -> weighing <-> onset -> motion -> landmarks -> phases -> metrics
//
// # References
//
// [Owen2014] N. J. Owen, J. Watkins, L. P. Kilduff, H. R. Bevan, M. A. Bennett, Development of a criterion method to
// determine peak mechanical power output in a countermovement jump, J Strength Cond Res 28(6):1552-1558, 2014.
//
// [McMahon2018] J. J. McMahon, T. J. Suchomel, J. P. Lake, P. Comfort, Understanding the key phases of the
// countermovement jump force-time curve, Strength Cond J 40(4):96-106, 2018, doi 10.1519/SSC.0000000000000375. (Names of
// the phases read; details of the recipe from memory.)
//
// [Linthorne2001] N. P. Linthorne, Analysis of standing vertical jumps using a force platform, Am J Phys
// 69(11):1198-1204, 2001, doi 10.1119/1.1397460.
//
// [Duarte] M. Duarte, R. N. Watanabe, Notes on Scientific Computing for Biomechanics and Motor Control, Federal
// University of ABC, CC BY 4.0: biomechanical analysis of vertical jumps.
//
// [Dowling1993] J. Dowling, L. Vamos, Identification of kinetic and temporal factors related to vertical jump
// performance, J Appl Biomech 9:95-110, 1993.
//
// [Sampling2010] Sampling rate influence on vertical jump height in force plate analysis, conference abstract, 2010
// (authors not shown): body weight from the impulse of the whole jump; height falls 0.1-0.2 cm at 500 Hz.
//
// [PerezCastilla2021] A. Perez-Castilla, F. J. Rojas, J. Fernandes, A. Garcia-Ramos, Reliability and magnitude of
// countermovement jump performance variables: influence of the take-off threshold, Meas Phys Educ Exerc Sci 25, 2021,
// doi 10.1080/1091367x.2021.1872578.
//
// [Meylan2011] C. M. P. Meylan et al., The effect of three different start thresholds on the kinematics and kinetics of
// a countermovement jump, J Strength Cond Res 25(4):1164-1167, 2011, doi 10.1519/JSC.0b013e3181c699b9.
//
// [Thresholds2022] Comparison of the reliability of four different movement thresholds when evaluating vertical jump
// performance, Sports 10(12):193, 2022, doi 10.3390/sports10120193 (authors not shown).
//
// [Metrics2023] List and definition of force-time metrics, PLoS ONE 18(9):e0286581, 2023, Table 2 (authors not shown).
//
// [Sole2018] C. J. Sole, T. J. Suchomel, M. H. Stone, Preliminary scale of reference values for evaluating reactive
// strength index-modified, Sports 6(4):133, 2018.
//
// [Cormack2008] S. J. Cormack, R. U. Newton, M. R. McGuigan, T. L. A. Doyle, Reliability of measures obtained during
// single and repeated countermovement jumps, Int J Sports Physiol Perform 3:131-144, 2008.
//
// [Rojano2010] D. Rojano Ortega, E. C. Rodriguez Bies, F. J. Berral de la Rosa, Analysis of the vertical ground reaction
// forces and temporal factors in the landing phase of a countermovement jump, J Sports Sci Med 9:282-287, 2010.
//
// [Flanagan2008] E. P. Flanagan, W. P. Ebben, R. L. Jensen, Reliability of the reactive strength index and time to
// stabilization during depth jumps, J Strength Cond Res 22(5):1677-1682, 2008 (from memory).
//
// [Bishop2018] C. Bishop, P. Read, J. Lake, S. Chavda, A. Turner, Interlimb asymmetries: understanding how to calculate
// differences from bilateral and unilateral tests, Strength Cond J 40(4):1-6, 2018.
//
// [Modality2024] Objective classification of countermovement jump force-time curve modality, Sports Biomech
// 23(11):2053-2064, 2024 (authors not shown): turning points with a least prominence.
//
// [Rhythm2022] Vertical ground reaction force oscillation during standing on hard and compliant surfaces: the "postural
// rhythm", Front Neurol, 2022, doi 10.3389/fneur.2022.975752 (authors not shown).
package curve
