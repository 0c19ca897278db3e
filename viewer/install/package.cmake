# CPack: Debian packages of the program, of the library, and where MPI is found of the program that uses it. `cpack --config build/CPackConfig.cmake -G DEB -B FOLDER`.
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME lostvolts)
set(CPACK_PACKAGE_VENDOR Lostvolts)
# Nobody answers for packages yet; .invalid says so to whoever reads it (RFC 2606, section 2), and lintian takes it.
set(CPACK_PACKAGE_CONTACT "The Lostvolts authors <authors@lostvolts.invalid>")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_COMPONENTS_ALL program development)
if(TARGET lostvolts_study_program)
    list(APPEND CPACK_COMPONENTS_ALL cluster)
endif()
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "") # each package's description begins with its own
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)

set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME lostvolts)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION electronics)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
# Not linked, so dpkg-shlibdeps doesn't see them: the window's type and, where no graphics card helps, its drawing.
set(CPACK_DEBIAN_PROGRAM_PACKAGE_DEPENDS fonts-dejavu-core)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_RECOMMENDS libgl1-mesa-dri)
set(CPACK_COMPONENT_PROGRAM_DESCRIPTION "${PROJECT_DESCRIPTION}
From a circuit's description and the readings taken so far, it says which part
is at fault, how sure that is, which reading to take next, and what the circuit
should read once it is repaired. It also sizes wires and fuses, reads recorded
starts, keeps jobs, and shows why.")

set(CPACK_DEBIAN_CLUSTER_PACKAGE_NAME lostvolts-mpi)
set(CPACK_DEBIAN_CLUSTER_PACKAGE_SECTION electronics)
set(CPACK_DEBIAN_CLUSTER_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_CLUSTER_PACKAGE_DEPENDS "lostvolts (= ${PROJECT_VERSION}), openmpi-bin")
set(CPACK_COMPONENT_CLUSTER_DESCRIPTION "Studies of lostvolts on several machines
With this, `mpirun -n 8 lostvolts study ORDER` works on several processors or
machines at once; the table is the same.")

set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME liblostvolts-dev)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS
    "libboost-dev (>= 1.74), libfmt-dev (>= 9), libtomlplusplus-dev (>= 3.3), libfftw3-dev, libsqlite3-dev (>= 3.40)")
set(CPACK_COMPONENT_DEVELOPMENT_DESCRIPTION "Solver of lostvolts as a C++ library
Circuits, readings, captures and what follows from them. A static library, its
headers, and its description for CMake and pkg-config.")
set(CPACK_PRE_BUILD_SCRIPTS ${PROJECT_SOURCE_DIR}/viewer/install/compress.cmake)
include(CPack)
