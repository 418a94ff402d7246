package book

import "golang.org/x/sys/unix"

// medium is the kind of the file system on which a file lies, empty where it is none that matters here. The numbers are the kernel's
// (statfs(2), linux/magic.h).
func medium(path string) string {
	var s unix.Statfs_t
	if unix.Statfs(path, &s) != nil {
		return ""
	}
	return map[uint32]string{
		unix.NFS_SUPER_MAGIC: "nfs", unix.SMB_SUPER_MAGIC: "smb", unix.SMB2_SUPER_MAGIC: "smb2", unix.CIFS_SUPER_MAGIC: "cifs",
		unix.V9FS_MAGIC: "9p", unix.FUSE_SUPER_MAGIC: "fuse", unix.AFS_SUPER_MAGIC: "afs", unix.AFS_FS_MAGIC: "afs",
		unix.CODA_SUPER_MAGIC: "coda", unix.CEPH_SUPER_MAGIC: "ceph", unix.NCP_SUPER_MAGIC: "ncp", unix.OCFS2_SUPER_MAGIC: "ocfs2",
		0x01161970: "gfs2", 0x786f4256: "vboxsf",
	}[uint32(s.Type)]
}
